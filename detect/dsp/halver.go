package dsp

import (
	"math"
	"slices"
)

// HalfBand gives one side of a half-band low-pass of 4n-1 taps: h[1], h[3] to h[2n-1].
// The middle tap is 1/2, all other even ones are 0, and h[-k] = h[k]. window is 1 at 0
// and ends at 1.
//
//	h[k] = sin(pi k/2)/(pi k) window(k/2n),  scaled so that 1/2 + 2 (h[1] + h[3] + ...) = 1
func HalfBand(n int, window func(x float64) float64) []float64 {
	h := make([]float64, n)
	sum := 0.0
	for i := range h {
		k := float64(2*i + 1)
		h[i] = math.Sin(math.Pi*k/2) / (math.Pi * k) * window(k/float64(2*n))
		sum += h[i]
	}
	for i := range h {
		h[i] *= 0.25 / sum
	}
	return h
}

// HalfBandResponse is the power gain of the filter at a frequency in cycles a sample.
//
//	|H(f)|^2 = (1/2 + 2 sum over odd k of h[k] cos(2 pi f k))^2
func HalfBandResponse(h []float64, f float64) float64 {
	sum := 0.5
	for i, v := range h {
		sum += 2 * v * math.Cos(2*math.Pi*f*float64(2*i+1))
	}
	return sum * sum
}

// Halver takes every second sample after a half-band low-pass filter, and looks ahead,
// so that its output is not late.
//
//	y[m] = x[2m]/2 + sum over odd k of h[k] (x[2m-k] + x[2m+k])
//
// A filter of 4n-1 taps takes n multiplications a sample of the output. Even and odd
// samples are kept apart, so that each tap runs along two rows.
type Halver[F float32 | float64] struct {
	taps      []F
	even, odd []F  // samples not yet used up, oldest first
	toOdd     bool // where the next sample belongs
}

// NewHalver makes a halver with the taps of HalfBand, for at most block samples at a
// time. As if silence had gone before: the first output is at the first sample.
func NewHalver[F float32 | float64](taps []float64, block int) *Halver[F] {
	n := len(taps)
	h := &Halver[F]{taps: make([]F, n), even: make([]F, 0, block/2+n+1), odd: make([]F, n, block/2+2*n+1)}
	for i, v := range taps {
		h.taps[i] = F(v)
	}
	return h
}

// Write takes samples in and puts the halved ones into dst, from its beginning: as many
// as half of src, one more or one less. It allocates nothing.
func (h *Halver[F]) Write(dst, src []F) []F {
	h.deal(src)
	n := len(h.taps)
	// Output m lies at even[m] and reaches from odd[m] to odd[m+2n-1].
	m := min(len(h.even), len(h.odd)-2*n+1)
	if m <= 0 {
		return dst[:0]
	}
	dst = dst[:m]
	i := 0
	if n >= 4 {
		h.first4(dst)
		i = 4
	} else {
		for j, v := range h.even[:m] {
			dst[j] = v / 2
		}
	}
	for ; i+4 <= n; i += 4 {
		h.add4(dst, i)
	}
	for ; i+2 <= n; i += 2 {
		h.add2(dst, i)
	}
	if i < n {
		h.add1(dst, i)
	}
	h.even = h.even[:copy(h.even, h.even[m:])]
	h.odd = h.odd[:copy(h.odd, h.odd[m:])]
	return dst
}

// first4 is what the middle tap and the four next to it give, all in one go.
func (h *Halver[F]) first4(dst []F) {
	n, m := len(h.taps), len(dst)
	even, before, after := h.even[:m], h.odd[n-4:][:m+3], h.odd[n:][:m+3]
	c0, c1, c2, c3 := h.taps[0], h.taps[1], h.taps[2], h.taps[3]
	for j := range dst {
		b, a := before[j:j+4:j+4], after[j:j+4:j+4]
		dst[j] = even[j]/2 + c0*(b[3]+a[0]) + c1*(b[2]+a[1]) + c2*(b[1]+a[2]) + c3*(b[0]+a[3])
	}
}

// add4 adds what four taps from i on give.
func (h *Halver[F]) add4(dst []F, i int) {
	n, m := len(h.taps), len(dst)
	before, after := h.odd[n-4-i:][:m+3], h.odd[n+i:][:m+3]
	c0, c1, c2, c3 := h.taps[i], h.taps[i+1], h.taps[i+2], h.taps[i+3]
	for j := range dst {
		b, a := before[j:j+4:j+4], after[j:j+4:j+4]
		dst[j] = dst[j] + c0*(b[3]+a[0]) + c1*(b[2]+a[1]) + c2*(b[1]+a[2]) + c3*(b[0]+a[3])
	}
}

// add2 adds what two taps from i on give.
func (h *Halver[F]) add2(dst []F, i int) {
	n, m := len(h.taps), len(dst)
	before, after := h.odd[n-2-i:][:m+1], h.odd[n+i:][:m+1]
	c0, c1 := h.taps[i], h.taps[i+1]
	for j := range dst {
		b, a := before[j:j+2:j+2], after[j:j+2:j+2]
		dst[j] = dst[j] + c0*(b[1]+a[0]) + c1*(b[0]+a[1])
	}
}

// add1 adds what tap i gives.
func (h *Halver[F]) add1(dst []F, i int) {
	n, m := len(h.taps), len(dst)
	c, before, after := h.taps[i], h.odd[n-1-i:][:m], h.odd[n+i:][:m]
	for j := range dst {
		dst[j] += c * (before[j] + after[j])
	}
}

// deal gives the samples of src to the two rows in turn.
func (h *Halver[F]) deal(src []F) {
	if h.toOdd && len(src) > 0 {
		h.odd = append(h.odd, src[0])
		src = src[1:]
		h.toOdd = false
	}
	pairs, evens, odds := len(src)/2, len(h.even), len(h.odd)
	h.even = slices.Grow(h.even, pairs+1)[:evens+pairs]
	h.odd = slices.Grow(h.odd, pairs)[:odds+pairs]
	even, odd := h.even[evens:], h.odd[odds:]
	for i := 0; i < len(even) && i < len(odd) && len(src) >= 2; i++ {
		even[i], odd[i] = src[0], src[1]
		src = src[2:]
	}
	if len(src) == 1 {
		h.even = append(h.even, src[0])
		h.toOdd = true
	}
}

// Silence brings h to where o is, with silence in place of what o was written. Both
// must have the same taps and block.
func (h *Halver[F]) Silence(o *Halver[F]) {
	h.even, h.odd, h.toOdd = h.even[:len(o.even)], h.odd[:len(o.odd)], o.toOdd
	clear(h.even)
	clear(h.odd)
}
