package standout

import (
	"math"
	"testing"
)

// Two-sided critical values of Student's t: NIST/SEMATECH e-Handbook of Statistical
// Methods, 1.3.6.7.2, columns 0.975 and 0.995.
func TestCutoffs(t *testing.T) {
	for _, c := range []struct{ chance, dof, want float64 }{
		{0.05, 5, 2.571}, {0.05, 10, 2.228}, {0.05, 60, 2.000}, {0.01, 5, 4.032}, {0.01, 10, 3.169}, {0.01, 60, 2.660},
		{0.05, 0.2, 12.706}, {0.01, 1e6, 2.601}, // at least one degree, at most 200
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
// 2)/(8 + 3 - 1) = 0.488, spread = sqrt(0.488 (1 + pi/6)).
func TestModerated(t *testing.T) {
	p := spreadPrior{0.6, 8}
	spread, dof := moderated([]float64{-1, 0, 1}, 0, p)
	if want := math.Sqrt(0.488 * (1 + math.Pi/6)); math.Abs(spread-want) > 1e-12 || dof != 10 {
		t.Errorf("spread %.6f with %g degrees, want %.6f, 10", spread, dof, want)
	}
	// Equal values: never under the floor.
	if spread, _ := moderated(make([]float64, 100), 0, p); math.Abs(spread-SpreadFloor*math.Sqrt(1+math.Pi/200)) > 1e-12 {
		t.Errorf("spread of equal values %.4f", spread)
	}
	// One value of another world hardly widens it.
	x := []float64{-0.6, -0.4, -0.2, 0, 0.2, 0.4, 0.6, 30}
	if spread, _ := moderated(x, 0.1, p); spread > 3 {
		t.Errorf("a far value widens the spread to %.1f", spread)
	}
}
