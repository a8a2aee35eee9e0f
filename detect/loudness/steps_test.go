package loudness

import (
	"math"
	"testing"
)

// TestSteps: the energies of all steps over their time are the mean power that the
// integrated loudness of a steady tone stands for: 0 dBFS 997 Hz in one channel is -3.01
// LKFS (BS.1770-5 annex 1).
func TestSteps(t *testing.T) {
	const rate = 48000
	x := make([]float32, 2*rate)
	for i := range x {
		x[i] = float32(math.Sin(2 * math.Pi * 997 * float64(i) / rate))
	}
	m := New(rate, []float64{1})
	m.Write([][]float32{x[:12345]})
	m.Write([][]float32{x[12345:]})
	steps, perSecond := m.Steps()
	if steps.Len() != 200 || perSecond != 100 {
		t.Fatalf("%d steps at %v a second, want 200 at 100", steps.Len(), perSecond)
	}
	sum := 0.0
	for i := 100; i < steps.Len(); i++ {
		sum += float64(*steps.At(i))
	}
	if got := -0.691 + 10*math.Log10(sum/rate); math.Abs(got+3.01) > 0.01 {
		t.Errorf("%.3f LUFS, want -3.01", got)
	}
}
