package fourier

import (
	"fmt"
	"math"
	"math/cmplx"
	"math/rand/v2"
	"testing"

	gonum "gonum.org/v1/gonum/dsp/fourier"
)

// Double precision through some 15 stages; relative to the largest bin.
const realTolerance = 1e-14

// Lengths of every mixture of radices, and those of the key's frames at 44.1 and 48 kHz.
var realLengths = []int{2, 4, 6, 8, 10, 12, 16, 18, 20, 24, 30, 32, 50, 54, 60, 64, 90, 128, 250, 256, 360, 4096, 4500, 6000, 65536}

// The independent transform is gonum's.
func TestRealAgainstGonum(t *testing.T) {
	for _, n := range realLengths {
		r := rand.New(rand.NewPCG(2, uint64(n)))
		x := make([]float64, n)
		for i := range x {
			x[i] = r.Float64() - 0.5
		}
		g := gonum.NewFFT(n)
		want, got := g.Coefficients(nil, x), make([]complex128, n/2+1)
		f := NewReal(n)
		f.Do(got, x)
		top := 0.0
		for _, w := range want {
			top = max(top, cmplx.Abs(w))
		}
		power := make([]float64, n/2+1)
		for k, w := range want {
			if cmplx.Abs(got[k]-w) > realTolerance*top {
				t.Fatalf("n %d bin %d: got %v, want %v", n, k, got[k], w)
			}
			power[k] = real(w)*real(w) + imag(w)*imag(w)
			want[k] = complex(power[k], 0)
		}
		auto := make([]float64, n/2)
		f.Autocorrelation(auto, power)
		for i, w := range g.Sequence(nil, want)[:n/2] {
			if math.Abs(auto[i]-w) > realTolerance*top*top*float64(n) {
				t.Fatalf("n %d lag %d: got %g, want %g", n, i, auto[i], w)
			}
		}
		back := make([]float64, n)
		f.Back(back, got)
		for i, w := range x {
			if math.Abs(back[i]/float64(n)-w) > realTolerance*top {
				t.Fatalf("n %d, sample %d back again: %g, want %g", n, i, back[i]/float64(n), w)
			}
		}
	}
}

func TestFastLength(t *testing.T) {
	for n, want := range map[int]int{1: 2, 2: 2, 7: 8, 11: 12, 13: 16, 14: 16, 4095: 4096, 4458: 4500, 5944: 6000} {
		if got := FastLength(n); got != want {
			t.Errorf("from %d: %d, want %d", n, got, want)
		}
	}
}

func TestOddPrimesAreRefused(t *testing.T) {
	defer func() {
		if recover() == nil {
			t.Error("a length of 14 was taken")
		}
	}()
	NewReal(14)
}

func BenchmarkReal(b *testing.B) {
	for _, n := range []int{4096, 4500, 8192, 65536, 131072} {
		x, c := make([]float64, n), make([]complex128, n/2+1)
		for i := range x {
			x[i] = float64(i % 7)
		}
		b.Run(fmt.Sprint("ours", n), func(b *testing.B) {
			f := NewReal(n)
			b.ReportAllocs()
			for b.Loop() {
				f.Do(c, x)
			}
		})
		b.Run(fmt.Sprint("gonum", n), func(b *testing.B) {
			f := gonum.NewFFT(n)
			for b.Loop() {
				f.Coefficients(c, x)
			}
		})
	}
}
