package fourier

import (
	"math"
	"math/cmplx"
	"math/rand/v2"
	"testing"

	gonum "gonum.org/v1/gonum/dsp/fourier"
)

// The reference is gonum's transform in float64; float32 keeps about 7 digits,
// of which the passes of a transform of 1024 may cost one.
func TestPowerAgainstGonum(t *testing.T) {
	const tolerance = 2e-6 // of the largest bin
	rng := rand.New(rand.NewPCG(1, 2))
	for _, n := range []int{8, 32, 64, 128, 256, 512, 1024} {
		frame, window := make([]float32, n), make([]float32, n)
		product := make([]float64, n)
		for i := range frame {
			frame[i], window[i] = float32(rng.NormFloat64()), float32(rng.Float64())
			product[i] = float64(frame[i]) * float64(window[i])
		}
		got := make([]float32, n/2)
		NewPower(n).Do(got, frame, window)
		want := gonum.NewFFT(n).Coefficients(nil, product)
		var top float64
		for _, c := range want {
			top = max(top, cmplx.Abs(c))
		}
		for k := range got {
			if d := math.Abs(math.Sqrt(float64(got[k])) - cmplx.Abs(want[k])); d > tolerance*top {
				t.Errorf("n %d bin %d: %g, want %g", n, k, math.Sqrt(float64(got[k])), cmplx.Abs(want[k]))
			}
		}
	}
}

func BenchmarkPower512(b *testing.B) {
	s := NewPower(512)
	frame, window, dst := make([]float32, 512), make([]float32, 512), make([]float32, 256)
	for i := range frame {
		frame[i], window[i] = float32(i%7), 1
	}
	b.ReportAllocs()
	for b.Loop() {
		s.Do(dst, frame, window)
	}
}
