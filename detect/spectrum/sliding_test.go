package spectrum

import (
	"math"
	"math/rand/v2"
	"testing"
)

// Every window has the levels that Over gives for it.
func TestSliding(t *testing.T) {
	const rate = 44100
	r := rand.New(rand.NewPCG(1, 2))
	m := New(rate, 1)
	for b := range 20 * rate / 1000 {
		x := make([]float32, 1000)
		for i := range x {
			x[i] = float32(r.NormFloat64()) * float32(1+b%300) / 900
		}
		m.Write([][]float32{x})
	}
	step := float64(m.short.step) / rate
	n, last := 0, -1.0
	m.Sliding(6, func(start float64, bands []float64) {
		want := m.Over(start, start+6)
		for b, p := range bands {
			if got := 10 * math.Log10(p); math.Abs(got-want[b]) > 0.01 {
				t.Errorf("window at %.2f s, %g Hz: %.3f dB, want %.3f", start, Centres[b], got, want[b])
			}
		}
		if math.Abs(start-last-step) > 1e-9 && n > 0 {
			t.Errorf("window at %.3f s after %.3f", start, last)
		}
		last = start
		n++
	})
	if want := int((20-6)/step) + 1; n < want-1 || n > want+1 {
		t.Errorf("%d windows, want about %d", n, want)
	}
	none := New(rate, 1)
	none.Sliding(6, func(float64, []float64) { t.Error("a window of nothing") })
}
