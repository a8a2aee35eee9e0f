package flac

// header is a frame header, RFC 9639 section 9.1.
type header struct {
	variable   bool   // number counts samples, not frames
	number     uint64 // of the frame, or of its first sample
	block      int    // samples a channel
	rate       int    // Hz, 0: as STREAMINFO says
	assignment int    // channels less one, or a stereo decorrelation
	bits       int    // a sample, 0: as STREAMINFO says
	length     int    // bytes of the header with its CRC
}

// Stereo decorrelations among the channel assignments.
const (
	leftSide  = 8
	sideRight = 9
	midSide   = 10
)

// Header field values of RFC 9639 tables 14, 15, 18 and 19; -1 is reserved, 0 what
// stands elsewhere.
var (
	headerRates = [16]int{0, 88200, 176400, 192000, 8000, 16000, 22050, 24000, 32000, 44100, 48000, 96000, 0, 0, 0, -1}
	headerBits  = [8]int{0, 8, 12, -1, 16, 20, 24, 32}
)

// maxHeader is the most bytes a header takes: 4, a number of 7, a block size of
// 2, a rate of 2, the CRC.
const maxHeader = 16

func (h *header) channels() int {
	if h.assignment >= leftSide {
		return 2
	}
	return h.assignment + 1
}

// sync says whether a header can begin with these two bytes: 15 fixed bits, then
// the blocking strategy.
func sync(a, b byte) bool { return a == 0xff && b&0xfe == 0xf8 }

// parseHeader reads the header that b begins with; ok is false when there is none,
// its CRC included.
func parseHeader(b []byte) (h header, ok bool) {
	if len(b) < 6 || !sync(b[0], b[1]) {
		return h, false
	}
	blockCode, rateCode := b[2]>>4, b[2]&15
	h = header{variable: b[1]&1 == 1, rate: headerRates[rateCode], assignment: int(b[3] >> 4), bits: headerBits[b[3]>>1&7]}
	if blockCode == 0 || h.rate < 0 || h.assignment > midSide || h.bits < 0 || b[3]&1 != 0 {
		return h, false
	}
	number, n := codedNumber(b[4:])
	if n == 0 {
		return h, false
	}
	h.number = number
	at := 4 + n
	if at+5 > len(b) { // block size, rate and CRC; a frame goes on behind them
		return h, false
	}
	h.block, n = blockSize(blockCode, b[at:])
	at += n
	if n = codedRate(&h, rateCode, b[at:]); n > 0 && h.rate == 0 {
		return h, false
	}
	at += n
	h.length = at + 1
	return h, crc8(b[:at]) == b[at]
}

// blockSize decodes the block size, RFC 9639 section 9.1.1, and says how many
// bytes at the header's end it took.
func blockSize(code byte, rest []byte) (size, n int) {
	switch {
	case code == 1:
		return 192, 0
	case code <= 5:
		return 144 << code, 0
	case code == 6:
		return int(rest[0]) + 1, 1
	case code == 7:
		return (int(rest[0])<<8 | int(rest[1])) + 1, 2
	}
	return 1 << code, 0
}

// codedRate decodes a rate that stands at the header's end, RFC 9639 section 9.1.2.
func codedRate(h *header, code byte, rest []byte) (n int) {
	switch code {
	case 12:
		h.rate = int(rest[0]) * 1000
		return 1
	case 13:
		h.rate = int(rest[0])<<8 | int(rest[1])
		return 2
	case 14:
		h.rate = (int(rest[0])<<8 | int(rest[1])) * 10
		return 2
	}
	return 0
}

// codedNumber reads a number of up to 36 bits written like UTF-8, RFC 9639
// section 9.1.5; n is 0 when there is none.
func codedNumber(b []byte) (v uint64, n int) {
	first := b[0]
	n = 1
	switch {
	case first < 0x80:
		return uint64(first), 1
	case first < 0xc0 || first == 0xff:
		return 0, 0
	}
	for mask := byte(0x40); first&mask != 0; mask >>= 1 {
		n++
	}
	if n > len(b) {
		return 0, 0
	}
	if n < 7 {
		v = uint64(first & (0x7f >> n))
	}
	for _, c := range b[1:n] {
		if c&0xc0 != 0x80 {
			return 0, 0
		}
		v = v<<6 | uint64(c&0x3f)
	}
	return v, n
}
