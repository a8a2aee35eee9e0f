package dsp

import (
	"math"
	"math/rand/v2"
	"testing"
)

// The independent logarithm is math.Log, whose own error is under 1e-16 of its value.
func TestLog(t *testing.T) {
	const tolerance = 4e-16
	check := func(x float64) {
		t.Helper()
		if got, want := Log(x), math.Log(x); !(math.Abs(got-want) <= tolerance*max(1, math.Abs(want))) {
			t.Errorf("Log(%g) = %.17g, want %.17g", x, got, want)
		}
	}
	r := rand.New(rand.NewPCG(7, 8))
	for i := range 1 << 16 {
		check(1 + float64(i)/(1<<16))
		check(math.Exp(1400 * (r.Float64() - 0.5)))
	}
	for _, x := range []float64{2, 0.5, math.Nextafter(1, 0), math.Nextafter(1, 2), math.Nextafter(2, 0), 0x1p-1022, math.MaxFloat64} {
		check(x)
	}
	// Near 1 the digits of the logarithm itself count.
	for _, d := range []float64{1e-3, 1e-6, 1e-9} {
		if got, want := Log(1+d), math.Log(1+d); !(math.Abs(got-want) <= 4e-16*want) {
			t.Errorf("Log(1+%g) = %g, want %g", d, got, want)
		}
	}
	if Log(1) != 0 {
		t.Errorf("Log(1) = %g", Log(1))
	}
	for _, x := range []float64{0, math.Inf(1), 0x1p-1040} {
		if got := Log(x); got != math.Log(x) {
			t.Errorf("Log(%g) = %g", x, got)
		}
	}
	for _, x := range []float64{-1, math.NaN(), math.Inf(-1)} {
		if got := Log(x); !math.IsNaN(got) {
			t.Errorf("Log(%g) = %g", x, got)
		}
	}
}

func BenchmarkLog(b *testing.B) {
	for name, log := range map[string]func(float64) float64{"ours": Log, "math": math.Log} {
		b.Run(name, func(b *testing.B) {
			x := 1.0
			for b.Loop() {
				x = 3 + log(x+4)
			}
		})
	}
}
