package fourier

import (
	"math"
	"math/bits"
)

// Transform is a forward discrete Fourier transform of n samples, in place and
// without putting the result in order: bin k is left at Place()[k]. Powers are
// summed over many frames before order matters, and single precision is 140 dB
// below full scale. It keeps no state between calls.
//
//	X[k] = sum over n of x[n] exp(-2 pi i n k / N)
type Transform struct {
	n          int
	stages     []stage // radix 4, decimation in frequency, but for the last ones
	place      []int32
	eightAtEnd bool // the last stage is of radix 8, else of 4
}

// stage holds exp(-2 pi i j q / size), q = 1, 2, 3 for each j < size/4.
type stage [][3]complex64

// New makes a transform of n samples, a power of two.
func New(n int) *Transform {
	f := &Transform{n: n, eightAtEnd: bits.TrailingZeros(uint(n))%2 == 1}
	for size := n; size > 8; size /= 4 {
		s := make(stage, size/4)
		for j := range s {
			for q := range 3 {
				sin, cos := math.Sincos(-2 * math.Pi * float64(j*(q+1)) / float64(size))
				s[j][q] = complex(float32(cos), float32(sin))
			}
		}
		f.stages = append(f.stages, s)
	}
	f.place = make([]int32, n)
	for k := range f.place {
		f.place[k] = int32(placeOf(k, n))
	}
	return f
}

// placeOf gives where decimation in frequency leaves bin k of n: each stage of
// radix r puts the bins with k mod r = q into the q-th part.
func placeOf(k, n int) int {
	switch {
	case n >= 4:
		return k%4*(n/4) + placeOf(k/4, n/4)
	case n == 2:
		return k
	}
	return 0
}

// Place says where Do leaves each bin. It must not be changed.
func (f *Transform) Place() []int32 { return f.place }

// Do transforms x of length n.
func (f *Transform) Do(x []complex64) {
	for i := range f.stages {
		radix4(x, f.stages[i])
	}
	switch {
	case f.n == 1:
	case f.n == 2:
		x[0], x[1] = x[0]+x[1], x[0]-x[1]
	case f.eightAtEnd:
		radix8Last(x)
	default:
		radix4Last(x)
	}
}

// radix4 is a stage of decimation in frequency, of all its butterflies on x.
//
//	y[q] = w^(jq) sum over p of x[j + p m] (-i)^(pq)
func radix4(x []complex64, twiddle stage) {
	m := len(twiddle)
	for ; len(x) >= 4*m; x = x[4*m:] {
		x0, x1, x2, x3 := x[:m], x[m:][:m], x[2*m:][:m], x[3*m:][:m]
		for j := range twiddle {
			w := &twiddle[j]
			a, b, c, d := x0[j], x1[j], x2[j], x3[j]
			s, t := a+c, a-c
			u, v := b+d, b-d
			v = complex(imag(v), -real(v))
			x0[j] = s + u
			x1[j] = times(t+v, w[0])
			x2[j] = times(s-u, w[1])
			x3[j] = times(t-v, w[2])
		}
	}
}

// times is a b in single precision; Go's own product goes by double precision, which costs
// as much again as all the rest of a transform.
func times(a, b complex64) complex64 {
	return complex(real(a)*real(b)-imag(a)*imag(b), real(a)*imag(b)+imag(a)*real(b))
}

// radix4Last is the stage of size 4, whose factors are all 1.
func radix4Last(x []complex64) {
	for ; len(x) >= 4; x = x[4:] {
		y := x[:4:4]
		a, b, c, d := y[0], y[1], y[2], y[3]
		s, t := a+c, a-c
		u, v := b+d, b-d
		v = complex(imag(v), -real(v))
		y[0], y[1], y[2], y[3] = s+u, t+v, s-u, t-v
	}
}

// radix8Last is the stage of size 8: one of radix 4, whose factors are eighths of a turn,
// and one of radix 2.
func radix8Last(x []complex64) {
	const h = math.Sqrt2 / 2
	for ; len(x) >= 8; x = x[8:] {
		y := x[:8:8]
		s, t := y[0]+y[4], y[0]-y[4]
		u, v := y[2]+y[6], y[2]-y[6]
		v = complex(imag(v), -real(v))
		p, q := y[1]+y[5], y[1]-y[5]
		r, w := y[3]+y[7], y[3]-y[7]
		w = complex(imag(w), -real(w))
		b, d := q+w, q-w
		b = complex(h*(real(b)+imag(b)), h*(imag(b)-real(b)))
		d = complex(h*(imag(d)-real(d)), -h*(real(d)+imag(d)))
		c := p - r
		c = complex(imag(c), -real(c))
		y[0], y[1] = s+u+(p+r), s+u-(p+r)
		y[2], y[3] = t+v+b, t+v-b
		y[4], y[5] = s-u+c, s-u-c
		y[6], y[7] = t-v+d, t-v-d
	}
}
