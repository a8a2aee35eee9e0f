package standout

import (
	"math"
	"testing"
)

// Critical values of Student's t: NIST/SEMATECH e-Handbook of Statistical
// Methods, 1.3.6.7.2, columns 0.975 and 0.995.
func TestCutoffs(t *testing.T) {
	for _, c := range []struct{ chance, dof, want float64 }{
		{0.025, 5, 2.571}, {0.025, 10, 2.228}, {0.025, 60, 2.000}, {0.005, 5, 4.032}, {0.005, 10, 3.169}, {0.005, 60, 2.660},
		{0.025, 0.2, 12.706}, {0.005, 1e6, 2.601}, // at least one degree, at most 200
	} {
		if got := cutoff(c.chance, c.dof); math.Abs(got-c.want) > 0.001 {
			t.Errorf("chance %g, %g degrees: %.4f, want %.3f", c.chance, c.dof, got, c.want)
		}
		if again := cutoff(c.chance, c.dof); again != cutoff(c.chance, c.dof) {
			t.Error("the second call differs")
		}
	}
}

// By hand from the formula: x = -1, 0, 1 about 0, prior 0.6 with 8: s^2 = (8 0.36 +
// 2)/(8 + 3 - 1) = 0.488, spread = sqrt(0.488 (1 + 1/3)).
func TestModerated(t *testing.T) {
	p := spreadPrior{0.6, 8, SpreadFloor}
	got := moderated([]float64{-1, 0, 1}, 0, p)
	if want := math.Sqrt(0.488 * 4 / 3); math.Abs(got.spread-want) > 1e-12 || got.dof != 10 || got.centre != 0 {
		t.Errorf("%+v, want a spread of %.6f with 10 degrees about 0", got, want)
	}
	// Uneven values that are all near: their mean, not their median.
	if got := moderated([]float64{-0.3, 0, 0.9}, 0, p); math.Abs(got.centre-0.2) > 1e-12 {
		t.Errorf("centre %.4f, want 0.2", got.centre)
	}
	// Equal values: never under the floor.
	if got := moderated(make([]float64, 100), 0, p); math.Abs(got.spread-SpreadFloor*math.Sqrt(1+1/100.0)) > 1e-12 {
		t.Errorf("spread of equal values %.4f", got.spread)
	}
	// One value of another world hardly widens it, and hardly moves its centre.
	x := []float64{-0.6, -0.4, -0.2, 0, 0.2, 0.4, 0.6, 30}
	if got := moderated(x, 0.1, p); got.spread > 3 || got.centre > 0.5 {
		t.Errorf("a far value makes it %+v", got)
	}
}
