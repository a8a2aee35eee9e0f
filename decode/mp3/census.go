package mp3

import "math"

// census is what a look ahead over the rest of the file finds.
type census struct {
	frames int64
	breaks int  // places where sync is lost
	whole  bool // the last frame is, and nothing follows it
}

// takeCensus counts the frames from offset to the end.
func (f *framer) takeCensus(offset int64) (c census) {
	ahead := *f
	ahead.in = &input{src: f.in.src, end: f.in.end, next: offset, buf: make([]byte, inputBytes)}
	for {
		fr, ok := ahead.next(math.MaxInt64)
		if fr.gap > 0 || ok && fr.fresh {
			c.breaks++
		}
		if !ok {
			c.whole = c.whole && fr.gap == 0 && ahead.in.err == nil
			return c
		}
		c.frames++
		c.whole = len(fr.data) == fr.frameBytes(ahead.freeBytes)
		if !c.whole && ahead.in.left() > 0 {
			c.breaks++
		}
	}
}

// missing tells how many frames are lost between the frame before and fr, so
// that what follows keeps its time. Where the file states how many it had and is whole
// from here on, they are counted; that is done once, for the first damage. Else they
// are estimated from the bytes that are there.
func (t *track) missing(fr *frame) int64 {
	if t.total > 0 && !t.counted {
		t.counted = true
		c := t.frames.takeCensus(fr.offset)
		lost := t.total - t.done - c.frames
		if c.breaks == 0 && c.whole && lost >= 0 {
			return lost
		}
	}
	frames := math.Round(float64(fr.gap) / t.meanLen)
	if t.constant {
		// The length of the frame before it may be part of the damage.
		frames = math.Round((float64(fr.gap)+float64(t.lastLen))/t.meanLen) - 1
	}
	return int64(max(frames, 0))
}
