package dsp

import (
	"math"
	"slices"
	"testing"
)

type energy float32

func (e energy) Energy() float32 { return float32(e) }

// Expected by the definition: nothing is touched below +80 dBFS, a power of 1e8; above,
// or where a sum is no number, every sample is cut to that, and what is no number is 0.
func TestTame(t *testing.T) {
	nan, inf := float32(math.NaN()), float32(math.Inf(1))
	x := []float32{2e4, -2e4, 0.5, nan, inf, -inf, 9999}
	for _, c := range []struct {
		cells []energy
		wild  bool
	}{
		{nil, false},
		{[]energy{1, 0.99e8}, false},
		{[]energy{1e8, 1}, true},
		{[]energy{1, 1.01e8}, true},
		{[]energy{1, energy(nan), 1}, true},
		{[]energy{energy(inf)}, true},
	} {
		y := slices.Clone(x)
		if got := Tame(c.cells, y); got != c.wild {
			t.Errorf("%v: %v", c.cells, got)
		}
		want := x
		if c.wild {
			want = []float32{1e4, -1e4, 0.5, 0, 1e4, -1e4, 9999}
		}
		for i := range y {
			if math.Float32bits(y[i]) != math.Float32bits(want[i]) {
				t.Errorf("%v: sample %d is %g, want %g", c.cells, i, y[i], want[i])
			}
		}
	}
}
