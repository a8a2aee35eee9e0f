package flac

import "fmt"

// shape is what a frame says about the sound.
type shape struct{ rate, channels, bits int }

func (s shape) String() string {
	return fmt.Sprintf("%d Hz, %d channels, %d bits", s.rate, s.channels, s.bits)
}

// shapeOf fills what the frame header leaves to STREAMINFO.
func (r *reader) shapeOf(h header) shape {
	s := shape{h.rate, h.channels(), h.bits}
	if s.rate == 0 {
		s.rate = r.si.rate
	}
	if s.bits == 0 {
		s.bits = r.si.bits
	}
	return s
}

// timeline places frames by their numbers.
type timeline struct {
	done  int64  // samples handed out, or about to be
	base  int64  // to add to a frame's own sample number
	block int64  // samples of a frame where the block size is fixed
	last  uint64 // number of the frame before
	quiet int64  // samples of silence that may still be put in
	// inSamples says that the numbers count samples though the headers say frames, as
	// encoders wrote before there was a strategy bit.
	inSamples bool
}

// mostSilence bounds the silence that stands in for lost music: no number in a
// damaged file may make it hours long.
const mostSilence = 10 * 60 // seconds

// newTimeline takes the fixed block size from the first frame that was found; only
// the last frame of a file is shorter than the others.
func newTimeline(h header, si streamInfo) timeline {
	t := timeline{block: int64(h.block), quiet: mostSilence * int64(max(si.rate, h.rate))}
	if h.number > 0 && si.minBlock == si.maxBlock && si.maxBlock > h.block {
		t.block = int64(si.maxBlock)
	}
	return t
}

// sample is the number of the first sample of a frame, as the frame says.
func (t *timeline) sample(h header) int64 {
	if h.variable || t.inSamples {
		return int64(h.number)
	}
	return int64(h.number) * t.block
}

// place returns how many samples are missing before the frame of header h. The
// answer ok is false for a frame that does not belong there: its number then
// counts anew from where it stands.
func (t *timeline) place(h header) (gap int64, ok bool) {
	gap = t.sample(h) + t.base - t.done
	next := !h.variable && h.number == t.last+1 && t.done > 0
	switch {
	case gap == 0:
		return 0, true
	case next:
		t.base -= gap
		return 0, true
	case !h.variable && h.number > 0 && int64(h.number)+t.base == t.done:
		t.inSamples = true
		return 0, true
	case gap > 0 && gap <= t.quiet:
		t.quiet -= gap
		return gap, true
	}
	t.base -= gap
	return 0, false
}
