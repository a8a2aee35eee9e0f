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
	n        int
	stages   []stage // radix 4, decimation in frequency
	place    []int32
	twoAtEnd bool // a last stage of radix 2
}

// stage holds exp(-2 pi i j q / size), q = 1, 2, 3 for each j < size/4.
type stage struct {
	size    int
	twiddle [][3]complex64
}

// New makes a transform of n samples, a power of two.
func New(n int) *Transform {
	f := &Transform{n: n, twoAtEnd: bits.TrailingZeros(uint(n))%2 == 1}
	for size := n; size >= 4; size /= 4 {
		s := stage{size: size, twiddle: make([][3]complex64, size/4)}
		for j := range s.twiddle {
			for q := range 3 {
				sin, cos := math.Sincos(-2 * math.Pi * float64(j*(q+1)) / float64(size))
				s.twiddle[j][q] = complex(float32(cos), float32(sin))
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
		s := &f.stages[i]
		if s.size == 4 {
			radix4Last(x)
			continue
		}
		for from := 0; from < f.n; from += s.size {
			radix4(x[from:from+s.size], s.twiddle)
		}
	}
	if f.twoAtEnd {
		for i := 0; i+1 < len(x); i += 2 {
			a, b := x[i], x[i+1]
			x[i], x[i+1] = a+b, a-b
		}
	}
}

// radix4 is one butterfly stage of decimation in frequency on x.
//
//	y[q] = w^(jq) sum over p of x[j + p m] (-i)^(pq)
func radix4(x []complex64, twiddle [][3]complex64) {
	m := len(twiddle)
	x0, x1, x2, x3 := x[:m], x[m:2*m], x[2*m:3*m], x[3*m:4*m]
	for j := range twiddle {
		w := &twiddle[j]
		a, b, c, d := x0[j], x1[j], x2[j], x3[j]
		s, t := a+c, a-c
		u, v := b+d, b-d
		v = complex(imag(v), -real(v))
		x0[j] = s + u
		x1[j] = (t + v) * w[0]
		x2[j] = (s - u) * w[1]
		x3[j] = (t - v) * w[2]
	}
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
