package fourier

import "math"

// Power computes the power spectrum of short real frames: the real transform
// of n samples as a complex one of n/2. It is in single precision and allocates nothing
// after it is made.
type Power struct {
	z       []complex64 // even samples real, odd ones imaginary
	half    *Transform
	twiddle []complex64 // exp(-2 pi i k / n)
}

// NewPower makes one for frames of n samples, a power of 2 of at least 8.
func NewPower(n int) *Power {
	m := n / 2
	s := &Power{z: make([]complex64, m), half: New(m), twiddle: make([]complex64, m/2+1)}
	for k := range s.twiddle {
		sin, cos := math.Sincos(-2 * math.Pi * float64(k) / float64(n))
		s.twiddle[k] = complex(float32(cos), float32(sin))
	}
	return s
}

// Do fills dst[k], k = 0..n/2-1, with |X(k)|^2 of frame times window.
// Bin 0 holds the mean only; the bin at half the rate is left out.
func (s *Power) Do(dst, frame, window []float32) {
	z := s.z
	frame, window = frame[:2*len(z)], window[:2*len(z)]
	for i := range z {
		z[i] = complex(frame[2*i]*window[2*i], frame[2*i+1]*window[2*i+1])
	}
	s.half.Do(z)
	s.unpack(dst)
}

// unpack takes the real transform from the complex one Z of even and odd
// samples:
//
//	E = (Z[k] + conj Z[m-k])/2    O = -i (Z[k] - conj Z[m-k])/2
//	X[k] = E + w^k O              X[m-k] = conj(E - w^k O)
//
// Twice as large here, as the halves are left to the end.
func (s *Power) unpack(dst []float32) {
	m, place := len(s.z), s.half.Place()
	sum := real(s.z[0]) + imag(s.z[0])
	dst = dst[:m]
	dst[0] = sum * sum
	up, down, twiddle := place[:m/2+1], place[m/2:], s.twiddle[:m/2+1]
	for k := 1; k < len(up); k++ {
		a, b := s.z[up[k]], s.z[down[len(down)-k]]
		e := complex(real(a)+real(b), imag(a)-imag(b))
		o := times(complex(imag(a)+imag(b), real(b)-real(a)), twiddle[k])
		x, y := e+o, e-o
		dst[k] = (real(x)*real(x) + imag(x)*imag(x)) / 4
		dst[m-k] = (real(y)*real(y) + imag(y)*imag(y)) / 4
	}
}
