package tempo

import (
	"math"
	"testing"
)

// TestLongCurves: clicks every half second are found as such in a curve that is taken in
// parts, at the same lag and with the same strength as in one that is not.
func TestLongCurves(t *testing.T) {
	const step = 0.01
	for _, n := range []int{20000, longestCurve, longestCurve + 1, 3*longestCurve - 7} {
		x := make([]float64, n)
		for i := 0; i < n; i += 50 {
			x[i] = 1
		}
		p := newPeriodicity(x, step)
		if len(p.auto) > longestCurve || len(p.auto) < min(n, longestCurve)/2-1 {
			t.Errorf("%d values: %d lags", n, len(p.auto))
		}
		if on, off := p.lag(0.5), p.lag(0.25); on < 0.95 || math.Abs(off) > 0.05 {
			t.Errorf("%d values: autocorrelation %.3f at a beat, %.3f between", n, on, off)
		}
		if on, off := p.fourier(2), p.fourier(1.7); on < 20*off {
			t.Errorf("%d values: %.1f at 2 Hz, %.1f beside it", n, on, off)
		}
	}
}
