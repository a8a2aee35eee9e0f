package mp3

import (
	"bytes"
	"encoding/binary"
)

const (
	// maxFreeKbps is the highest bit rate of free format that is read. The standard
	// stops at that of the tables; encoders have been seen to go this far.
	maxFreeKbps = 640
	// maxFrameBytes is a frame at maxFreeKbps and the lowest rate, 8 kHz.
	maxFrameBytes = 72*maxFreeKbps*1000/8000 + 1
	// confirmations are the further headers in a row that must agree before a
	// stream is believed in, so that no picture or text is taken for audio. A
	// stream that is known already needs one.
	confirmations = 3
	// scanStep is how many bytes are searched for a sync word at a time.
	scanStep = inputBytes - (confirmations+1)*maxFrameBytes - headerBytes
)

// frame is a frame as it stands in the file.
type frame struct {
	header
	data   []byte // from the header on; short if the next frame comes too early
	offset int64  // of the header in the file
	gap    int64  // bytes before it that belong to no frame
	fresh  bool   // the first frame of a stream
	alone  bool   // no frame of its stream follows it at once, though there is more
}

// framer finds the frames of a file.
type framer struct {
	in        *input
	stream    header // a header of the current stream
	known     bool
	freeBytes int // length of its frames without padding in free format
}

// next finds the next frame, looking through at most limit bytes that belong to
// none. ok is false at the end. The frame's data is valid until the next call.
func (f *framer) next(limit int64) (fr frame, ok bool) {
	skipTags(f.in)
	start := f.in.offset()
	h, ok := f.goesOn()
	fresh := false
	if !ok {
		if h, ok = f.scan(limit); !ok {
			return frame{gap: f.in.offset() - start, offset: start}, false
		}
		fresh = !f.known || !f.stream.continues(&h)
	}
	f.stream, f.known = h, true
	fr = frame{header: h, offset: f.in.offset(), fresh: fresh}
	fr.gap = fr.offset - start
	fr.data, fr.alone = f.take(&h)
	return fr, true
}

// follows tells whether b starts with a header of the current stream.
func (f *framer) follows(b []byte) (header, bool) {
	if !f.known || len(b) < headerBytes {
		return header{}, false
	}
	h, ok := parseHeader(binary.BigEndian.Uint32(b))
	return h, ok && f.stream.continues(&h)
}

// goesOn is follows at the input's place. A header that changes between mono and
// stereo, as a damaged bit can make one, must be confirmed by the next.
func (f *framer) goesOn() (header, bool) {
	h, ok := f.follows(f.in.peek(headerBytes))
	if !ok || h.channels() == f.stream.channels() {
		return h, ok
	}
	const most = maxFrameBytes + headerBytes
	window := f.in.peek(most)
	return h, confirmed(window, h, 1, f.freeBytes, len(window) < most)
}

// take returns the frame at the input's place, up to the next header, and moves
// on behind it. alone tells that there is no header where the frame should end.
func (f *framer) take(h *header) (data []byte, alone bool) {
	n := h.frameBytes(f.freeBytes)
	window := f.in.peek(n + headerBytes)
	if len(window) == n+headerBytes {
		if _, ok := f.follows(window[n:]); !ok && !startsTag(window[n:]) {
			alone = true
			window = f.in.peek(n + 2*maxFrameBytes)
			n = f.early(window, n)
		}
	}
	n = min(n, len(window))
	f.in.skip(int64(n))
	return window[:n], alone
}

// early looks for a frame of the same stream that starts before the n bytes of
// the one at the start of window are over. It returns where, or n.
func (f *framer) early(window []byte, n int) int {
	for i := headerBytes; i < n; i++ {
		if window[i] != 0xFF {
			continue
		}
		if h, ok := f.follows(window[i:]); ok && confirmed(window[i:], h, 1, f.freeBytes, false) {
			return i
		}
	}
	return n
}

// scan moves on to the first frame of the current stream that is confirmed by
// one header, or of a new stream that is confirmed by more.
func (f *framer) scan(limit int64) (h header, ok bool) {
	for limit > 0 {
		window := f.in.peek(inputBytes)
		end, last := scanStep, false
		if len(window) < inputBytes {
			end, last = len(window), true
		}
		end = int(min(int64(end), limit))
		for i := 0; i < end; i++ {
			k := bytes.IndexByte(window[i:end], 0xFF)
			if k < 0 {
				break
			}
			i += k
			if h, ok = f.accept(window[i:], last); ok {
				f.in.skip(int64(i))
				return h, true
			}
		}
		f.in.skip(int64(end))
		limit -= int64(end)
		if last {
			break
		}
	}
	return header{}, false
}

// accept tells whether window starts with a frame that can be believed in. last
// is set when the window reaches the end of the file.
func (f *framer) accept(window []byte, last bool) (header, bool) {
	if len(window) < headerBytes {
		return header{}, false
	}
	h, ok := parseHeader(binary.BigEndian.Uint32(window))
	if !ok || f.known && h.layer != layerIII {
		return header{}, false
	}
	if f.known && f.stream.continues(&h) {
		return h, confirmed(window, h, 1, f.freeBytes, last)
	}
	free := 0
	if h.bitrate == 0 {
		if free = findFree(window, h, last); free == 0 {
			return header{}, false
		}
	}
	if !selfConfirmed(window, h, free) && !confirmed(window, h, confirmations, free, last) {
		return header{}, false
	}
	f.freeBytes = free
	return h, true
}

// selfConfirmed tells whether window starts with a Xing, Info or VBRI frame, which
// nothing else looks like.
func selfConfirmed(window []byte, h header, free int) bool {
	fr := frame{header: h, data: window[:min(h.frameBytes(free), len(window))]}
	return h.layer == layerIII && emptySideInfo(&fr) && parseInfo(&fr).present
}

// confirmed tells whether n more headers follow h, which stands at the start of
// window, at the right distances and agree with it. At the end of the file fewer
// will do if the last frame ends there, or, when one header has agreed, is cut.
func confirmed(window []byte, h header, n, free int, last bool) bool {
	pos, g := 0, h
	for i := range n {
		pos += g.frameBytes(free)
		if pos+headerBytes > len(window) {
			return last && (i > 0 || pos <= len(window))
		}
		var ok bool
		if g, ok = parseHeader(binary.BigEndian.Uint32(window[pos:])); !ok || !h.continues(&g) {
			return false
		}
	}
	return true
}

// findFree finds the length without padding of the free format frame at the
// start of window (clause 2.4.2.3): the distance to the next header that agrees and
// after which, at that distance, there is another. It is 0 if there is none.
func findFree(window []byte, h header, last bool) int {
	if h.layer != layerIII {
		return 0
	}
	for i := h.overhead(); i <= min(maxFrameBytes, len(window)-headerBytes); i++ {
		if window[i] != 0xFF {
			continue
		}
		g, ok := parseHeader(binary.BigEndian.Uint32(window[i:]))
		if ok && h.continues(&g) && confirmed(window[i:], g, 1, i-h.padding, last) {
			return i - h.padding
		}
	}
	return 0
}
