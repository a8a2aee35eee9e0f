package fourier

import (
	"fmt"
	"math/cmplx"
	"math/rand/v2"
	"testing"

	gonum "gonum.org/v1/gonum/dsp/fourier"
)

// Single precision through 13 stages of additions.
const fftTolerance = 1e-6

// The independent transform is gonum's.
func TestFFTAgainstGonum(t *testing.T) {
	for n := 1; n <= 8192; n *= 2 {
		r := rand.New(rand.NewPCG(1, uint64(n)))
		x := make([]complex64, n)
		want := make([]complex128, n)
		rms := 0.0
		for i := range x {
			x[i] = complex(r.Float32()-0.5, r.Float32()-0.5)
			want[i] = complex128(x[i])
		}
		want = gonum.NewCmplxFFT(n).Coefficients(nil, want)
		for _, w := range want {
			rms = max(rms, cmplx.Abs(w))
		}
		f := New(n)
		f.Do(x)
		for k, w := range want {
			if got := complex128(x[f.place[k]]); cmplx.Abs(got-w) > fftTolerance*rms {
				t.Fatalf("n %d bin %d: got %v, want %v", n, k, got, w)
			}
		}
	}
}

func BenchmarkFFT(b *testing.B) {
	for _, n := range []int{2048, 4096} {
		b.Run(fmt.Sprint("ours", n), func(b *testing.B) {
			x := make([]complex64, n)
			for i := range x {
				x[i] = complex(float32(i%7), float32(i%5))
			}
			y := make([]complex64, n)
			f := New(n)
			for b.Loop() {
				copy(y, x)
				f.Do(y)
			}
		})
		b.Run(fmt.Sprint("gonum", n), func(b *testing.B) {
			x := make([]complex128, n)
			y := make([]complex128, n)
			for i := range x {
				x[i] = complex(float64(i%7), float64(i%5))
			}
			f := gonum.NewCmplxFFT(n)
			for b.Loop() {
				f.Coefficients(y, x)
			}
		})
	}
}
