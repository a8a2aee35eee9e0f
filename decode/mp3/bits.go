package mp3

import "encoding/binary"

// wordPad is how many bytes must follow the last byte that is read, so that
// a reader can always load a whole word.
const wordPad = 16

// bitReader reads bits of main data, most significant first. It may be moved
// past the end of what is valid, never past the end of buf: callers compare pos
// with the end that the side information gives.
type bitReader struct {
	buf []byte // padded with wordPad bytes
	pos int    // in bits
	end int    // in bits, the end of valid data
}

// peek returns the next 57 bits or more at the top of a word.
func (r *bitReader) peek() uint64 {
	return binary.BigEndian.Uint64(r.buf[r.pos>>3:]) << (r.pos & 7)
}

// read returns the next n bits, 0 <= n <= 32; past the end it returns zeros.
func (r *bitReader) read(n int) uint32 {
	if r.pos+n > r.end {
		r.pos = r.end + 1
		return 0
	}
	v := r.peek() >> 1 >> (63 - n)
	r.pos += n
	return uint32(v)
}
