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

// TestOver: the integrated loudness of a part is that of a track which is that part alone.
func TestOver(t *testing.T) {
	const rate = 48000
	level := func(x []float32, amplitude float64) []float32 {
		for i := range x {
			x[i] = float32(amplitude * math.Sin(2*math.Pi*997*float64(i)/rate))
		}
		return x
	}
	x := append(level(make([]float32, 5*rate), 0.5), level(make([]float32, 5*rate), 0.1)...)
	x = append(x, make([]float32, 3*rate)...)
	m := New(rate, []float64{1})
	m.Write([][]float32{x})
	// A sine of amplitude a in one channel reads 20 log a - 3.01 LKFS.
	for _, c := range []struct{ from, to, want float64 }{
		{0, 5, -9.03}, {5, 10, -23.01}, {-3, 4.96, -9.03}, {5.5, 10, -23.01},
	} {
		if got := m.Over(c.from, c.to); math.Abs(got-c.want) > 0.15 {
			t.Errorf("%v to %v s: %.2f LUFS, want %v", c.from, c.to, got, c.want)
		}
	}
	if all := m.Over(0, math.Inf(1)); all != m.Result().Integrated {
		t.Errorf("%v of all", all)
	}
	for _, c := range [][2]float64{{10.5, 13}, {3, 3.2}, {4, 2}, {50, 60}} {
		if got := m.Over(c[0], c[1]); !math.IsNaN(got) {
			t.Errorf("%v: %v LUFS of nothing", c, got)
		}
	}
}
