package mp3

import (
	"encoding/binary"
	"math"
)

// place is where the audio begins, and what the file says of itself there.
type place struct {
	offset int64 // of the first frame, bytes
	pos    int64 // of its first sample
	tag    streamInfo
}

const (
	// leapLeast is the least distance in frames for which it pays to leap: 26 s.
	leapLeast = 1000
	// leapProbe is how many frames at the beginning show whether the encoder keeps to its
	// bit rate, and pads as the standard says.
	leapProbe = 64
	// leapOnWay is how many places on the way are looked at: a stretch at another rate may
	// end just where a frame would have stood, as the rates are in simple ratios.
	leapOnWay = 32
	// leapOff in bytes is how far a frame may lie from where its number puts it: it is
	// padded by a byte when the remainder has grown to one (clause 2.4.3.1), and encoders
	// begin with any remainder.
	leapOff = 2
)

// leap goes to a frame well before the one that holds sample, without reading what lies
// between, where all frames have one bit rate:
//
//	offset(k) = offset(0) + k * 72 * granules * bitrate / rate, within a byte
//
// A frame that stands just there, with others of that rate behind it, there and at places on
// the way, tells that this held all the way: behind a tag in the middle or lost bytes, frames
// stand elsewhere (but for one time in a hundred, as a frame has so many more bytes than
// leapOff; the sample is then off by the length of what lies between). It does nothing where
// this is not so, where the file states another length, or that its bit rate varies.
func (t *track) leap(sample int64) {
	h := t.frames.stream
	to := (sample-t.first.pos)/int64(h.samples()) - reservoirFrames(&h)
	if to-t.done < leapLeast || t.conv != nil || h.bitrate == 0 || !t.steady(&h) {
		return
	}
	var offset int64
	for i := range int64(leapOnWay) {
		var ok bool
		if offset, ok = t.standsAt(&h, to*(i+1)/leapOnWay); !ok {
			return
		}
	}
	t.frames.in.moveTo(offset)
	t.dec = decoder{}
	t.dec.pass(h.channels(), to*int64(h.granules()))
	t.done, t.silent, t.cause = to, 0, nil
	t.cur.header, t.granule = h, h.granules()
	t.lastLen, t.lastShort = h.frameBytes(0), false
	t.extent.pos = t.first.pos + to*int64(h.samples())
	t.leaped = true
}

// reservoirFrames is how many frames before one hold all that its main data may begin in,
// with those that are decoded ahead of it.
func reservoirFrames(h *header) int64 {
	own := h.frameBytes(0) - headerBytes - crcBytes - h.sideInfoBytes()
	return int64(maxReservoir/max(own, 1)) + 2 + settle
}

// steady tells whether all frames of the file may well have the bit rate of h.
func (t *track) steady(h *header) bool {
	if tag := &t.first.tag; tag.present {
		stated := t.bytesTo(h, tag.frames)
		if !tag.steady || tag.frames == 0 || math.Abs(float64(t.first.offset+stated-t.frames.in.end)) > 2*float64(h.frameBytes(0)) {
			return false
		}
	}
	for k := int64(0); k < leapProbe; k++ {
		if _, ok := t.standsAt(h, k); !ok {
			return false
		}
	}
	return true
}

// bytesTo is the length of so many frames.
func (t *track) bytesTo(h *header, frames int64) int64 {
	return frames * 72 * int64(h.granules()) * int64(h.bitrate) * 1000 / int64(h.sampleRate())
}

// standsAt tells whether frame number k, with two more of its bit rate behind it, stands
// where that puts it, and gives its offset.
func (t *track) standsAt(h *header, k int64) (offset int64, ok bool) {
	const more = 2
	from := t.first.offset + t.bytesTo(h, k) - leapOff
	window := t.frames.in.at(max(from, t.first.offset), 2*leapOff+more*(h.frameBytes(0)+1)+headerBytes)
	for i := 0; window != nil && i <= 2*leapOff; i++ {
		if allOf(h, window[i:], more) {
			return max(from, t.first.offset) + int64(i), true
		}
	}
	return 0, false
}

// allOf tells whether window begins with a header of the stream and bit rate of h, and so
// many more follow it.
func allOf(h *header, window []byte, more int) bool {
	for at := 0; ; more-- {
		if at+headerBytes > len(window) {
			return false
		}
		g, ok := parseHeader(binary.BigEndian.Uint32(window[at:]))
		if !ok || !h.continues(&g) || g.bitrate != h.bitrate || g.channels() != h.channels() {
			return false
		}
		if more == 0 {
			return true
		}
		at += g.frameBytes(0)
	}
}
