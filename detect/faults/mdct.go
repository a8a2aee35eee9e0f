package faults

import "math"

// mp3MDCT is the MDCT of a long block, ISO/IEC 11172-3 annex C.1.4, for N = 36 and
// M = 18 lines:
//
//	X[m] = sum over i of w[i] x[i] cos(pi/2N (2i + 1 + N/2) (2m + 1))
//
// The window w holds the inversion of every odd sample in odd subbands. The cosines
// mirror each other, so that it is a transform of type IV of M folded values,
//
//	u[n] = -wx[26-n] - wx[27+n], n < 9    u[n] = wx[n-9] - wx[26-n], n >= 9
//
// and that is one complex transform of nine:
//
//	t[n] = (u[2n] + i u[17-2n]) e(8n+1)   y[k] = e(8k+1) sum over n of t[n] exp(-2 pi i nk/9)
//	X[2k] = Re y[k]   X[17-2k] = -Im y[k]   with e(j) = exp(-i pi j/144)
func mp3MDCT(in []float64, w *[2 * mp3Lines]float64, out *[mp3Lines]float64) {
	const half = mp3Lines / 2
	x := (*[2 * mp3Lines]float64)(in)
	var u [mp3Lines]float64
	for n := range half {
		u[n] = -w[26-n]*x[26-n] - w[27+n]*x[27+n]
		u[half+n] = w[n]*x[n] - w[17-n]*x[17-n]
	}
	var t [half]complex128
	for n := range t {
		t[n] = complex(u[2*n], u[mp3Lines-1-2*n]) * mp3Turns[n]
	}
	nine(&t)
	for k := range t {
		y := t[k] * mp3Turns[k]
		out[2*k], out[mp3Lines-1-2*k] = real(y), -imag(y)
	}
}

// nine is the discrete Fourier transform of nine values, by three and three: with
// n = n1 + 3 n2 and k = 3 k1 + k2,
//
//	X[k] = sum over n1 of v(n1 k2) exp(-2 pi i n1 k1/3) sum over n2 of x[n] exp(-2 pi i n2 k2/3)
//
// with v(j) = exp(-2 pi i j/9).
func nine(x *[9]complex128) {
	var y [9]complex128 // y[n1 + 3 k2]
	for n := range 3 {
		y[n], y[n+3], y[n+6] = three(x[n], x[n+3], x[n+6])
	}
	y[4] *= ninths[1]
	y[5] *= ninths[2]
	y[7] *= ninths[2]
	y[8] *= ninths[4]
	for k := range 3 {
		x[k], x[k+3], x[k+6] = three(y[3*k], y[3*k+1], y[3*k+2])
	}
}

// three is the discrete Fourier transform of three values.
func three(a, b, c complex128) (x, y, z complex128) {
	const sin = 0.8660254037844386 // of 2 pi / 3; the cosine is -1/2
	s, d := b+c, b-c
	e := complex(real(a)-real(s)/2, imag(a)-imag(s)/2)
	o := complex(sin*imag(d), -sin*real(d))
	return a + s, e + o, e - o
}

var (
	// mp3Windows are the sine window, and that with every odd sample inverted.
	mp3Windows = func() (w [2][2 * mp3Lines]float64) {
		for i := range w[0] {
			w[0][i] = math.Sin(math.Pi / 36 * (float64(i) + 0.5))
			w[1][i] = w[0][i]
			if i%2 == 1 {
				w[1][i] = -w[0][i]
			}
		}
		return
	}()
	mp3Turns = func() (e [mp3Lines / 2]complex128) {
		for k := range e {
			e[k] = turn(8*k+1, 288)
		}
		return
	}()
	ninths = [...]complex128{1: turn(1, 9), 2: turn(2, 9), 4: turn(4, 9)}
)

// turn is exp(-2 pi i j / n).
func turn(j, n int) complex128 {
	sin, cos := math.Sincos(-2 * math.Pi * float64(j) / float64(n))
	return complex(cos, sin)
}
