package tempo

import "math"

// spectrum computes the power spectrum of short real frames in float32: the
// real transform of n samples as a complex one of n/2, by decimation in
// frequency with radix 4 and, where n/2 is not a power of 4, one first pass of
// radix 2. It exists because the onset curve takes a transform every 6 ms and
// gonum's, in float64 and for any length, takes most of the time that tempo
// and key have together; the test compares the two.
type spectrum struct {
	n      int
	re, im []float32
	passes []pass
	order  []int32 // order[k]: where bin k of the complex transform stands
	tr, ti []float32
}

// pass holds the twiddle factors of one stage on blocks of size samples.
type pass struct {
	size, radix int
	w           []float32 // per butterfly: re, im of w^j for j = 1..radix-1
}

// newSpectrum makes one for frames of n samples, a power of 2 of at least 8.
func newSpectrum(n int) *spectrum {
	m := n / 2
	s := &spectrum{n: n, re: make([]float32, m), im: make([]float32, m), order: make([]int32, m)}
	size := m
	if bits := int(math.Round(math.Log2(float64(m)))); bits%2 == 1 {
		s.passes = append(s.passes, newPass(size, 2))
		size /= 2
	}
	for ; size > 1; size /= 4 {
		s.passes = append(s.passes, newPass(size, 4))
	}
	for p := range m {
		s.order[s.bin(p)] = int32(p)
	}
	s.tr, s.ti = make([]float32, m/2+1), make([]float32, m/2+1)
	for k := range s.tr {
		sin, cos := math.Sincos(-2 * math.Pi * float64(k) / float64(n))
		s.tr[k], s.ti[k] = float32(cos), float32(sin)
	}
	return s
}

func newPass(size, radix int) pass {
	p := pass{size: size, radix: radix}
	for n := range size / radix {
		for j := 1; j < radix; j++ {
			sin, cos := math.Sincos(-2 * math.Pi * float64(n*j) / float64(size))
			p.w = append(p.w, float32(cos), float32(sin))
		}
	}
	return p
}

// bin says which bin stands at place p after all passes.
func (s *spectrum) bin(p int) int {
	k, scale := 0, 1
	for _, ps := range s.passes {
		sub := ps.size / ps.radix
		k += scale * (p / sub)
		p %= sub
		scale *= ps.radix
	}
	return k
}

// power fills dst[k], k = 0..n/2-1, with |X(k)|^2 of frame times window.
// Bin 0 holds the mean only; the bin at half the rate is left out.
func (s *spectrum) power(dst, frame, window []float32) {
	re, im := s.re, s.im
	frame, window = frame[:2*len(re)], window[:2*len(re)]
	for i := range re {
		re[i] = frame[2*i] * window[2*i]
		im[i] = frame[2*i+1] * window[2*i+1]
	}
	for i := range s.passes {
		if p := &s.passes[i]; p.radix == 4 {
			p.radix4(re, im)
		} else {
			p.radix2(re, im)
		}
	}
	s.unpack(dst)
}

func (p *pass) radix2(re, im []float32) {
	h := p.size / 2
	for n := range h {
		ar, ai, br, bi := re[n], im[n], re[n+h], im[n+h]
		re[n], im[n] = ar+br, ai+bi
		dr, di := ar-br, ai-bi
		wr, wi := p.w[2*n], p.w[2*n+1]
		re[n+h], im[n+h] = dr*wr-di*wi, dr*wi+di*wr
	}
}

// y0 = (a+c) + (b+d)            y2 = ((a+c) - (b+d)) w^2n
// y1 = ((a-c) - i(b-d)) w^n     y3 = ((a-c) + i(b-d)) w^3n
func (p *pass) radix4(re, im []float32) {
	q := p.size / 4
	for base := 0; base+p.size <= len(re); base += p.size {
		r0, i0 := re[base:base+q], im[base:base+q]
		r1, i1 := re[base+q : base+2*q][:len(r0)], im[base+q : base+2*q][:len(r0)]
		r2, i2 := re[base+2*q : base+3*q][:len(r0)], im[base+2*q : base+3*q][:len(r0)]
		r3, i3 := re[base+3*q : base+4*q][:len(r0)], im[base+3*q : base+4*q][:len(r0)]
		i0 = i0[:len(r0)]
		w := p.w
		for n := range r0 {
			tr0, ti0 := r0[n]+r2[n], i0[n]+i2[n]
			tr1, ti1 := r0[n]-r2[n], i0[n]-i2[n]
			tr2, ti2 := r1[n]+r3[n], i1[n]+i3[n]
			tr3, ti3 := i1[n]-i3[n], r3[n]-r1[n]
			r0[n], i0[n] = tr0+tr2, ti0+ti2
			c := w[6*n : 6*n+6 : 6*n+6]
			ar, ai := tr1+tr3, ti1+ti3
			r1[n], i1[n] = ar*c[0]-ai*c[1], ar*c[1]+ai*c[0]
			ar, ai = tr0-tr2, ti0-ti2
			r2[n], i2[n] = ar*c[2]-ai*c[3], ar*c[3]+ai*c[2]
			ar, ai = tr1-tr3, ti1-ti3
			r3[n], i3[n] = ar*c[4]-ai*c[5], ar*c[5]+ai*c[4]
		}
	}
}

// unpack takes the real transform from the complex one Z of even and odd
// samples:
//
//	E = (Z[k] + conj Z[m-k])/2    O = -i (Z[k] - conj Z[m-k])/2
//	X[k] = E + w^k O              X[m-k] = conj(E - w^k O)
func (s *spectrum) unpack(dst []float32) {
	m := len(s.re)
	z := s.re[0] + s.im[0]
	dst[0] = z * z
	for k := 1; k <= m/2; k++ {
		p, q := s.order[k], s.order[m-k]
		er, ei := (s.re[p]+s.re[q])/2, (s.im[p]-s.im[q])/2
		or, oi := (s.im[p]+s.im[q])/2, (s.re[q]-s.re[p])/2
		wr, wi := s.tr[k], s.ti[k]
		tr, ti := or*wr-oi*wi, or*wi+oi*wr
		xr, xi := er+tr, ei+ti
		dst[k] = xr*xr + xi*xi
		xr, xi = er-tr, ei-ti
		dst[m-k] = xr*xr + xi*xi
	}
}
