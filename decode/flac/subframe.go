package flac

import (
	"encoding/binary"
	"math/bits"
)

// subHeader is a subframe header, RFC 9639 section 9.2.1.
type subHeader struct {
	kind   uint // 6 bits: constant, verbatim, fixed or linear prediction
	wasted uint // low bits of every sample that are zero
}

// Subframe types.
const (
	kindConstant = 0
	kindVerbatim = 1
	kindFixed    = 8  // and up to 12, by order
	kindLinear   = 32 // and up to 63, by order less one
)

func (k subHeader) fixed() bool  { return k.kind >= kindFixed && k.kind <= kindFixed+4 }
func (k subHeader) linear() bool { return k.kind >= kindLinear }

// subHeader reads the header of a subframe of depth bits a sample.
func (f *decoder) subHeader(depth uint) (k subHeader, p problem) {
	r := &f.bits
	if r.read(1) != 0 {
		return k, badSub
	}
	k.kind = uint(r.read(6))
	if r.read(1) == 1 {
		k.wasted = r.unary() + 1
	}
	if k.wasted >= depth {
		return k, badWasted
	}
	if k.kind > kindVerbatim && !k.fixed() && !k.linear() {
		return k, badSub
	}
	return k, noProblem
}

// subframe decodes a subframe of depth bits, at most 32, into out.
func (f *decoder) subframe(out []int32, depth uint) problem {
	k, p := f.subHeader(depth)
	if p != noProblem {
		return p
	}
	r := &f.bits
	depth -= k.wasted
	switch {
	case k.kind == kindConstant:
		v := int32(r.signed(depth))
		for i := range out {
			out[i] = v
		}
	case k.kind == kindVerbatim:
		for i := range out {
			out[i] = int32(r.signed(depth))
		}
	default:
		if p := f.predicted(out, k, depth); p != noProblem {
			return p
		}
	}
	if k.wasted > 0 {
		for i := range out {
			out[i] <<= k.wasted
		}
	}
	return noProblem
}

// predicted decodes a subframe with a predictor.
func (f *decoder) predicted(out []int32, k subHeader, depth uint) problem {
	r := &f.bits
	order := k.order()
	if order > len(out) {
		return badPredict
	}
	for i := range out[:order] {
		out[i] = int32(r.signed(depth))
	}
	if k.fixed() {
		if p := f.residuals(out, order); p != noProblem {
			return p
		}
		predictFixed(out, order)
		return noProblem
	}
	var coef [maxOrder]int64
	shift, p := f.coefficients(coef[:order])
	if p == noProblem {
		p = f.residuals(out, order)
	}
	if p == noProblem {
		predict(out, coef[:order], shift)
	}
	return p
}

// order is that of the predictor.
func (k subHeader) order() int {
	if k.fixed() {
		return int(k.kind - kindFixed)
	}
	return int(k.kind-kindLinear) + 1
}

// maxOrder is the highest order of a linear predictor.
const maxOrder = 32

// coefficients reads precision, shift and coefficients of a linear predictor,
// RFC 9639 section 9.2.6, the one for the latest sample first.
func (f *decoder) coefficients(coef []int64) (shift uint, p problem) {
	r := &f.bits
	precision := uint(r.read(4)) + 1
	s := r.signed(5)
	if precision == 16 || s < 0 {
		return 0, badPredict
	}
	for i := range coef {
		coef[i] = r.signed(precision)
	}
	return uint(s), noProblem
}

// residuals fills out behind the first order samples, RFC 9639 section 9.2.7.
func (f *decoder) residuals(out []int32, order int) problem {
	r := &f.bits
	width := uint(4) // of a Rice parameter
	switch r.read(2) {
	case 0:
	case 1:
		width = 5
	default:
		return badRice
	}
	partitions := 1 << r.read(4)
	each := len(out) / partitions
	if each*partitions != len(out) || each < order {
		return badRice
	}
	escape := uint(1)<<width - 1
	for i := range partitions {
		part := out[max(i*each, order) : (i+1)*each]
		k := uint(r.read(width))
		switch {
		case k == escape:
			n := uint(r.read(5))
			for j := range part {
				part[j] = int32(r.signed(n))
			}
		default:
			r.rice(part, k)
		}
		if r.over() {
			return cutOff
		}
	}
	return noProblem
}

// rice decodes folded numbers with parameter k. What does not fit into 32 bits
// loses its upper part; the frame's CRC tells.
//
//	v = quotient·2^k + remainder; v even: v/2, v odd: -(v+1)/2
func (r *bitReader) rice(out []int32, k uint) {
	b, pos, acc, n := r.b, r.pos, r.acc, r.n
	for i := range out {
		if n < 32 {
			if pos+8 > len(b) {
				r.pos, r.acc, r.n = pos, acc, n
				r.riceSlow(out[i:], k)
				return
			}
			acc |= binary.BigEndian.Uint64(b[pos:]) >> n
			m := (63 - n) >> 3
			pos += int(m)
			n += m * 8
		}
		q := uint(bits.LeadingZeros64(acc))
		if q+1+k > n {
			r.pos, r.acc, r.n = pos, acc, n
			r.riceSlow(out[i:i+1], k)
			pos, acc, n = r.pos, r.acc, r.n
			continue
		}
		acc <<= q + 1
		v := uint32(q)<<k | uint32(acc>>(64-k))
		acc <<= k
		n -= q + 1 + k
		out[i] = int32(v>>1) ^ -int32(v&1)
	}
	r.pos, r.acc, r.n = pos, acc, n
}

// riceSlow is rice for long codes and for the last bytes of the data.
func (r *bitReader) riceSlow(out []int32, k uint) {
	for i := range out {
		v := uint32(r.unary())<<k | uint32(r.read(k))
		if out[i] = int32(v>>1) ^ -int32(v&1); r.over() {
			return // the caller sees it
		}
	}
}
