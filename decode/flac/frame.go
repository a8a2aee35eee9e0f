package flac

// decoder decodes one frame at a time into samples of int32. It keeps its buffers.
type decoder struct {
	bits     bitReader
	samples  [8][]int32
	residual []int32 // of a side channel of 33 bits
	wide     []int64 // its samples
}

// problem says why bytes are no frame.
type problem string

// Problems of a frame.
const (
	noProblem  problem = ""
	cutOff     problem = "it is cut off"
	badSub     problem = "a subframe of a reserved type"
	badRice    problem = "a residual that breaks the rules"
	badPredict problem = "a predictor that breaks the rules"
	badWasted  problem = "more wasted bits than the samples have"
	badPadding problem = "padding that is not zero"
	badCRC     problem = "its CRC-16 does not fit"
)

// decode reads the frame of header h, with depth bits a sample, that b begins with
// and says how many bytes it takes. What follows it in b does not matter.
func (f *decoder) decode(b []byte, h header, depth int) (n int, p problem) {
	f.bits = bitReader{b: b, pos: h.length}
	for c := range h.channels() {
		if cap(f.samples[c]) < h.block {
			f.samples[c] = make([]int32, max(h.block, 4608)) // the largest block of the streamable subset at 48 kHz
		}
		f.samples[c] = f.samples[c][:h.block]
		bits := depth
		if h.side(c) {
			bits++
		}
		if bits > 32 {
			p = f.wideSubframe(h.block, uint(bits))
		} else {
			p = f.subframe(f.samples[c], uint(bits))
		}
		if f.bits.over() {
			return len(b), cutOff
		}
		if p != noProblem {
			return f.bits.align(), p
		}
	}
	if pad := f.bits.n % 8; f.bits.read(pad) != 0 {
		return f.bits.align(), badPadding
	}
	n = f.bits.align()
	if n+2 > len(b) {
		return len(b), cutOff
	}
	if crc16(b[:n]) != uint16(b[n])<<8|uint16(b[n+1]) {
		return n + 2, badCRC
	}
	if depth == 32 && h.assignment >= leftSide {
		f.joinWide(h.assignment)
	} else {
		f.join(h.assignment)
	}
	return n + 2, noProblem
}

// side tells whether channel c is the difference of left and right, which takes a bit
// more a sample (RFC 9639 section 4.2).
func (h header) side(c int) bool {
	switch h.assignment {
	case sideRight:
		return c == 0
	case leftSide, midSide:
		return c == 1
	}
	return false
}

// join undoes the stereo decorrelation, RFC 9639 section 4.2.
//
//	right = left - side    left = right + side
//	left = mid + side/2, right = mid - side/2, mid having lost its last bit,
//	which is that of side
func (f *decoder) join(assignment int) {
	a, b := f.samples[0], f.samples[1]
	switch assignment {
	case leftSide:
		b = b[:len(a)]
		for i, l := range a {
			b[i] = l - b[i]
		}
	case sideRight:
		b = b[:len(a)]
		for i, s := range a {
			a[i] = s + b[i]
		}
	case midSide:
		b = b[:len(a)]
		for i, m := range a {
			s := b[i]
			m = m<<1 | s&1
			a[i], b[i] = (m+s)>>1, (m-s)>>1
		}
	}
}

// joinWide is join for samples of 32 bits, whose side has 33.
func (f *decoder) joinWide(assignment int) {
	a, b := f.samples[0], f.samples[1]
	for i, s := range f.wide[:len(a)] {
		switch assignment {
		case leftSide:
			b[i] = int32(int64(a[i]) - s)
		case sideRight:
			a[i] = int32(s + int64(b[i]))
		case midSide:
			m := int64(a[i])<<1 | s&1
			a[i], b[i] = int32((m+s)>>1), int32((m-s)>>1)
		}
	}
}
