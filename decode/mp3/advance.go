package mp3

import (
	"errors"
	"fmt"
	"io"
	"math"

	"dubgauge/decode/stream"
)

var errLost = errors.New("frames are missing or unreadable")

// ready sees to it that a granule is there to be decoded; false at the end.
func (t *track) ready() bool {
	for t.silent == 0 && t.granule >= t.cur.granules() {
		if t.err != nil || !t.advance() {
			return false
		}
	}
	return true
}

// advance goes on to the next frame.
func (t *track) advance() bool {
	fr, ok := t.frames.next(math.MaxInt64)
	if !ok {
		return t.finish(&fr)
	}
	if fr.gap > 0 || t.lastShort {
		t.fill(&fr)
	}
	switch {
	case fr.fresh:
		t.change(&fr)
	case fr.channels() != t.cur.channels():
		t.switchMode(&fr)
	}
	if emptySideInfo(&fr) && parseInfo(&fr).present {
		t.cur.header, t.granule = fr.header, fr.granules()
		return true
	}
	t.start(&fr)
	if t.lastShort && t.frames.in.left() == 0 && (t.cause != nil || !t.dec.complete(&fr.header)) {
		t.granule, t.done = fr.granules(), t.done-1
		return t.finish(&frame{offset: fr.offset + int64(len(fr.data))})
	}
	return true
}

// start makes fr the current frame.
func (t *track) start(fr *frame) {
	const weight = 1.0 / 32 // of a frame in the running mean
	t.constant = t.constant && math.Abs(float64(fr.frameBytes(t.frames.freeBytes))-t.meanLen) < 2
	t.lastLen = len(fr.data)
	t.lastShort = t.lastLen < fr.frameBytes(t.frames.freeBytes)
	t.done++
	t.meanLen += (float64(len(fr.data)) - t.meanLen) * weight
	t.cur, t.granule = *fr, 0
	if fr.alone {
		t.dec.chain.wounded()
	}
	t.cause = t.dec.begin(fr)
	t.cur.data = nil
}

// emptySideInfo tells whether the side information is all zero, as in a Xing frame. Of a
// frame with a CRC the last two bytes are left out: lame puts the word Xing there.
func emptySideInfo(fr *frame) bool {
	if len(fr.data) < fr.overhead() {
		return false
	}
	for _, b := range fr.data[fr.overhead()-fr.sideInfoBytes() : headerBytes+fr.sideInfoBytes()] {
		if b != 0 {
			return false
		}
	}
	return true
}

// fill replaces the frames that are lost between the frame before and fr by as
// much silence. What follows can't lean on main data from before a gap.
func (t *track) fill(fr *frame) {
	t.dec.chain.wounded()
	if fr.gap > 0 {
		t.dec.main.reset()
	}
	frames := t.missing(fr)
	length := float64(frames) * float64(t.cur.samples()) / float64(t.cur.sampleRate())
	if frames > 0 && length <= maxFill && !fr.fresh {
		t.silent = int(frames) * t.cur.granules()
		t.done += frames
		t.lost = errLost
		return
	}
	what := fmt.Sprintf("%d bytes are not audio and were passed over", fr.gap)
	if fr.gap == 0 {
		what = "a frame ends early"
	}
	t.faults.add(stream.Errorf(stream.Damaged, "%s", what).
		AtOffset(fr.offset - fr.gap).AtTime(seconds(t.extent.pos, t.info.SampleRate)))
}

// change goes over to a stream of another format, which is converted to that of
// the first.
func (t *track) change(fr *frame) {
	rate, nch := fr.sampleRate(), fr.channels()
	t.faults.add(stream.Errorf(stream.Damaged,
		"the file goes on at %d Hz with %d channel(s), from %d Hz with %d; converted to %d Hz with %d",
		rate, nch, t.cur.sampleRate(), t.cur.channels(), t.info.SampleRate, t.info.Channels).
		AtOffset(fr.offset).AtTime(seconds(t.extent.pos, t.info.SampleRate)))
	t.dec.restart(nch)
	t.meanLen = float64(len(fr.data))
	t.conv = nil
	if rate != t.info.SampleRate || nch != t.info.Channels {
		t.conv = newConverter(rate, t.info.SampleRate, t.info.Channels)
	}
}

// switchMode goes over from mono to stereo or back within a stream. The standard
// allows it: main data goes on in the reservoir, and each channel's filter bank
// goes on from where it was left (clauses 2.4.2.3 and 2.4.3.4). It is named once, as
// few players have met it.
func (t *track) switchMode(fr *frame) {
	if !t.switched {
		t.switched = true
		t.faults.add(stream.Errorf(stream.Unsupported,
			"the stream goes on with %d channel(s), from %d, which some players cannot follow; played with %d",
			fr.channels(), t.cur.channels(), t.info.Channels).
			AtOffset(fr.offset).AtTime(seconds(t.extent.pos, t.info.SampleRate)))
	}
	if t.conv == nil {
		t.conv = newConverter(fr.sampleRate(), t.info.SampleRate, t.info.Channels)
	}
}

// finish handles the end of the file; rest is what lies behind the last frame. It
// returns true when there still is a granule to come: the encoder's input is a
// little longer than the frames, as the filter banks are late.
func (t *track) finish(rest *frame) bool {
	if err := t.frames.in.err; err != nil {
		t.err = fmt.Errorf("mp3: %w", err)
		return false
	}
	late := t.extent.end - t.extent.pos
	if late > 0 && late <= filterDelay {
		t.silent, t.lost = 1, nil
		t.extent.end = min(t.extent.end, t.extent.pos+granuleSamples)
		return true
	}
	t.err = io.EOF
	now := seconds(t.extent.pos, t.info.SampleRate)
	if float64(rest.gap) > t.meanLen && !t.onlyZeros(rest.offset) {
		t.faults.add(stream.Errorf(stream.Damaged, "%d bytes at the end are not audio", rest.gap).AtOffset(rest.offset).AtTime(now))
	}
	switch want := t.extent.stated; {
	case want > t.extent.pos && t.done < t.total:
		t.faults.add(stream.Errorf(stream.Truncated, "the file ends early: it states a length of %.2f s",
			seconds(want, t.info.SampleRate)).AtOffset(rest.offset).AtTime(now))
	case t.total == 0 && t.stopped(rest):
		t.faults.add(stream.Errorf(stream.Truncated, "from a sector's edge on there is nothing but zeros: the copy stopped there").
			AtOffset(rest.offset).AtTime(now))
	case t.lastShort:
		t.faults.add(stream.Errorf(stream.Truncated, "the last frame is cut short").AtOffset(rest.offset).AtTime(now))
	}
	return false
}
