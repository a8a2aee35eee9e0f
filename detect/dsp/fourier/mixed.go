package fourier

import "math"

// mixed is a complex transform in double precision, in place, of a length whose prime
// factors are 2, 3 and 5. Bin k is left at place[k].
type mixed struct {
	n      int
	stages []mixedStage
	place  []int32
}

// mixedStage turns transforms of size into radix ones of size/radix each. twiddle has
// exp(-2 pi i j q / size), q = 1 to radix-1, for each j < size/radix; it is empty where
// these are all 1.
type mixedStage struct {
	size, radix int
	twiddle     []complex128
}

func newMixed(n int) *mixed {
	f := &mixed{n: n, place: make([]int32, n)}
	for size := n; size > 1; {
		s := mixedStage{size: size, radix: radixOf(size)}
		m := size / s.radix
		for j := 0; j < m && m > 1; j++ {
			for q := 1; q < s.radix; q++ {
				s.twiddle = append(s.twiddle, root(j*q, size))
			}
		}
		f.stages = append(f.stages, s)
		size = m
	}
	for k := range f.place {
		at, rest, size := 0, k, n
		for _, s := range f.stages {
			size /= s.radix
			at += rest % s.radix * size
			rest /= s.radix
		}
		f.place[k] = int32(at)
	}
	return f
}

// radixOf is the radix of the first stage of a transform of n.
func radixOf(n int) int {
	for _, r := range []int{4, 2, 3, 5} {
		if n%r == 0 {
			return r
		}
	}
	panic("fourier: the length has a prime factor above 5")
}

// do transforms x of length n.
func (f *mixed) do(x []complex128) {
	for i := range f.stages {
		s := &f.stages[i]
		switch s.size {
		case 2:
			double2Last(x)
			continue
		case 4:
			double4Last(x)
			continue
		}
		for from := 0; from < f.n; from += s.size {
			part := x[from : from+s.size]
			switch s.radix {
			case 2:
				double2(part, s.twiddle)
			case 3:
				double3(part, s.twiddle)
			case 4:
				double4(part, s.twiddle)
			case 5:
				double5(part, s.twiddle)
			}
		}
	}
}

// The butterflies: y[q] = w^(jq) sum over p of x[j + p m] exp(-2 pi i p q / radix).
// timesI is i v.
func timesI(v complex128) complex128 { return complex(-imag(v), real(v)) }

// scaled is s v, in two multiplications.
func scaled(s float64, v complex128) complex128 { return complex(s*real(v), s*imag(v)) }

func double2(x, w []complex128) {
	m := len(x) / 2
	x0, x1 := x[:m], x[m:2*m]
	w = w[:m]
	for j := range x0 {
		a, b := x0[j], x1[j]
		x0[j], x1[j] = a+b, (a-b)*w[j]
	}
}

func double3(x, w []complex128) {
	const sin = 0.8660254037844386 // of 2 pi / 3; the cosine is -1/2
	m := len(x) / 3
	x0, x1, x2 := x[:m], x[m:2*m], x[2*m:3*m]
	for j := range x0 {
		a, s, d := x0[j], x1[j]+x2[j], x1[j]-x2[j]
		e, o := a-scaled(0.5, s), timesI(scaled(sin, d))
		x0[j], x1[j], x2[j] = a+s, e-o, e+o
		if len(w) > 0 {
			x1[j] *= w[2*j]
			x2[j] *= w[2*j+1]
		}
	}
}

func double4(x, w []complex128) {
	m := len(x) / 4
	x0, x1, x2, x3 := x[:m], x[m:2*m], x[2*m:3*m], x[3*m:4*m]
	w = w[:3*m]
	for j := range x0 {
		a, b, c, d := x0[j], x1[j], x2[j], x3[j]
		s, t, u, v := a+c, a-c, b+d, timesI(b-d)
		x0[j] = s + u
		x1[j] = (t - v) * w[3*j]
		x2[j] = (s - u) * w[3*j+1]
		x3[j] = (t + v) * w[3*j+2]
	}
}

// double2Last is the stage of size 2, whose factors are all 1.
func double2Last(x []complex128) {
	for ; len(x) >= 2; x = x[2:] {
		x[0], x[1] = x[0]+x[1], x[0]-x[1]
	}
}

// double4Last is the stage of size 4, whose factors are all 1.
func double4Last(x []complex128) {
	for ; len(x) >= 4; x = x[4:] {
		y := x[:4:4]
		a, b, c, d := y[0], y[1], y[2], y[3]
		s, t, u, v := a+c, a-c, b+d, timesI(b-d)
		y[0], y[1], y[2], y[3] = s+u, t-v, s-u, t+v
	}
}

// Cosines and sines of 2 pi / 5 and 4 pi / 5.
var (
	sin1, cos1 = math.Sincos(2 * math.Pi / 5)
	sin2, cos2 = math.Sincos(4 * math.Pi / 5)
)

func double5(x, w []complex128) {
	m := len(x) / 5
	x0, x1, x2, x3, x4 := x[:m], x[m:2*m], x[2*m:3*m], x[3*m:4*m], x[4*m:5*m]
	c1, s1, c2, s2 := cos1, sin1, cos2, sin2
	for j := range x0 {
		a := x0[j]
		p, q, r, s := x1[j]+x4[j], x1[j]-x4[j], x2[j]+x3[j], x2[j]-x3[j]
		e1, o1 := a+scaled(c1, p)+scaled(c2, r), timesI(scaled(s1, q)+scaled(s2, s))
		e2, o2 := a+scaled(c2, p)+scaled(c1, r), timesI(scaled(s2, q)-scaled(s1, s))
		x0[j], x1[j], x2[j], x3[j], x4[j] = a+p+r, e1-o1, e2-o2, e2+o2, e1+o1
		if len(w) > 0 {
			v := w[4*j : 4*j+4]
			x1[j] *= v[0]
			x2[j] *= v[1]
			x3[j] *= v[2]
			x4[j] *= v[3]
		}
	}
}
