package fourier

import "math"

// Real is the transform of n real samples in double precision. It is used by one
// goroutine and allocates nothing after it is made.
type Real struct {
	z       []complex128 // even samples real, odd ones imaginary
	half    *mixed
	twiddle []complex128 // exp(-2 pi i k / n), k = 0..n/4
}

// NewReal makes a transform of n samples, n an even number without a prime factor
// above 5: see FastLength.
func NewReal(n int) *Real {
	m := n / 2
	r := &Real{z: make([]complex128, m), half: newMixed(m), twiddle: make([]complex128, m/2+1)}
	for k := range r.twiddle {
		r.twiddle[k] = root(k, n)
	}
	return r
}

// root is exp(-2 pi i k / n).
func root(k, n int) complex128 {
	sin, cos := math.Sincos(-2 * math.Pi * float64(k) / float64(n))
	return complex(cos, sin)
}

// FastLength is the next even number from n that has no prime factor over 5.
func FastLength(n int) int {
	for n += n % 2; ; n += 2 {
		m := n
		for _, p := range []int{2, 3, 5} {
			for m%p == 0 {
				m /= p
			}
		}
		if m == 1 {
			return n
		}
	}
}

// Do fills dst with X[0] to X[n/2] of x, which has n samples and stays as it is.
//
//	E = (Z[k] + conj Z[m-k])/2    O = -i (Z[k] - conj Z[m-k])/2
//	X[k] = E + w^k O              X[m-k] = conj(E - w^k O)
func (r *Real) Do(dst []complex128, x []float64) {
	z, m := r.z, len(r.z)
	x, dst = x[:2*m], dst[:m+1]
	for i := range z {
		z[i] = complex(x[2*i], x[2*i+1])
	}
	r.half.do(z)
	place := r.half.place
	dst[0], dst[m] = complex(real(z[0])+imag(z[0]), 0), complex(real(z[0])-imag(z[0]), 0)
	for k := 1; k <= m/2; k++ {
		a, b := z[place[k]], z[place[m-k]]
		e := complex((real(a)+real(b))/2, (imag(a)-imag(b))/2)
		o := complex((imag(a)+imag(b))/2, (real(b)-real(a))/2) * r.twiddle[k]
		p, q := e+o, e-o
		dst[k], dst[m-k] = p, complex(real(q), -imag(q))
	}
}

// Autocorrelation fills dst, of n/2 values at most, with the circular autocorrelation
// of which power has |X[0]|^2 to |X[n/2]|^2, times n:
//
//	r[i] = sum over k of |X[k]|^2 cos(2 pi i k / n),  k = 0..n-1
func (r *Real) Autocorrelation(dst, power []float64) {
	n := 2 * len(r.z)
	x, c := make([]float64, n), make([]complex128, n/2+1)
	copy(x, power[:n/2+1])
	for k := 1; k < n/2; k++ {
		x[n-k] = power[k]
	}
	r.Do(c, x)
	for i := range dst {
		dst[i] = real(c[i])
	}
}

// Back fills x with the n samples whose transform is c, from c[0] to c[n/2], times n:
//
//	x[i] = sum over k of c[k] exp(2 pi i k / n),  k = 0..n-1
//
// It is the Hartley transform of real and imaginary part together, the one being even over all k
// and the other odd, which a transform of real values gives (R. N. Bracewell, J. Opt. Soc. Am. 73, 1983).
func (r *Real) Back(x []float64, c []complex128) {
	m := len(r.z)
	n := 2 * m
	h, t := make([]float64, n), make([]complex128, m+1)
	h[0], h[m] = real(c[0]), real(c[m])
	for k := 1; k < m; k++ {
		h[k], h[n-k] = real(c[k])+imag(c[k]), real(c[k])-imag(c[k])
	}
	r.Do(t, h)
	x[0], x[m] = real(t[0]), real(t[m])
	for i := 1; i < m; i++ {
		x[i], x[n-i] = real(t[i])+imag(t[i]), real(t[i])-imag(t[i])
	}
}
