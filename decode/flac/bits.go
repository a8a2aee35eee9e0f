package flac

import (
	"encoding/binary"
	"math/bits"
)

// bitReader reads bits, most significant first. Behind the end it gives zeros and
// keeps count, so that a caller checks once a frame whether it ran over.
type bitReader struct {
	b   []byte
	pos int    // of the next byte to load
	acc uint64 // loaded bits, left-aligned; what lies below them is part of the next byte, or zero
	n   uint   // how many
}

// refill loads bytes until at least 56 bits are there.
func (r *bitReader) refill() {
	if r.pos+8 <= len(r.b) {
		r.acc |= binary.BigEndian.Uint64(r.b[r.pos:]) >> r.n
		k := (63 - r.n) >> 3
		r.pos += int(k)
		r.n += k * 8
		return
	}
	for r.n <= 56 {
		if r.pos < len(r.b) {
			r.acc |= uint64(r.b[r.pos]) << (56 - r.n)
		}
		r.pos++
		r.n += 8
	}
}

// read takes k bits, at most 56.
func (r *bitReader) read(k uint) uint64 {
	if r.n < k {
		r.refill()
	}
	v := r.acc >> (64 - k)
	r.acc <<= k
	r.n -= k
	return v
}

// signed takes a two's complement number of k bits, at most 56.
func (r *bitReader) signed(k uint) int64 {
	if k == 0 {
		return 0
	}
	return int64(r.read(k)<<(64-k)) >> (64 - k)
}

// unary counts zeros up to the next one, which it takes; what runs over the end
// gives no more than the bits that were left.
func (r *bitReader) unary() (q uint) {
	for {
		if r.n == 0 {
			if r.over() {
				return q
			}
			r.refill()
		}
		if z := uint(bits.LeadingZeros64(r.acc)); z < r.n {
			r.acc <<= z + 1
			r.n -= z + 1
			return q + z
		}
		q += r.n
		r.acc, r.n = 0, 0
	}
}

// over says whether more was taken than there was.
func (r *bitReader) over() bool { return r.pos-int(r.n/8) > len(r.b) }

// align drops the bits up to the next byte and returns how many bytes were taken.
func (r *bitReader) align() int {
	r.read(r.n % 8)
	return r.pos - int(r.n/8)
}
