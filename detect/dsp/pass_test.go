package dsp

import (
	"math"
	"testing"
)

// TestPass: 6.02 dB down at the corner, 24 dB an octave far from it, flat in the band, by
// sines that have settled (Linkwitz 1976); the bilinear transform bends what lies far up.
func TestPass(t *testing.T) {
	const rate = 48000
	for _, c := range []struct {
		high     bool
		hz, want float64
	}{
		{false, 1000, -6.02}, {true, 1000, -6.02}, {false, 50, 0}, {true, 15000, 0}, {false, 4000, -48.2}, {true, 250, -48.2},
	} {
		p := NewPass(1000, rate, c.high)
		x := make([]float32, rate)
		for i := range x {
			x[i] = float32(math.Sin(2 * math.Pi * c.hz * float64(i) / rate))
		}
		p.Run(x[:777])
		p.Run(x[777:])
		sum := 0.0
		for _, v := range x[rate/2:] {
			sum += float64(v) * float64(v)
		}
		if got := 10 * math.Log10(sum/(rate/2)*2); math.Abs(got-c.want) > 1 || (c.want > -10 && math.Abs(got-c.want) > 0.02) {
			t.Errorf("high %v at %v Hz: %.2f dB, want %.2f", c.high, c.hz, got, c.want)
		}
	}
}
