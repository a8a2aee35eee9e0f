package loudness

import "testing"

// TestEnergies: of any number of steps no more than half of mostSteps to all of them are
// held, each the sum of what it is made of; what is left over at the end is not yet one.
func TestEnergies(t *testing.T) {
	for _, c := range []struct{ n, held, fold int }{
		{0, 0, 1}, {mostSteps - 1, mostSteps - 1, 1}, {mostSteps, mostSteps / 2, 2},
		{mostSteps + 1, mostSteps / 2, 2}, {mostSteps + 2, mostSteps/2 + 1, 2},
		{2 * mostSteps, mostSteps / 2, 4}, {2*mostSteps + 7, mostSteps/2 + 1, 4},
	} {
		var e energies
		for i := range c.n {
			e.add(float32(i % 5))
			if e.step.Len() >= mostSteps {
				t.Fatalf("%d steps held", e.step.Len())
			}
		}
		if e.step.Len() != c.held || e.fold() != c.fold {
			t.Errorf("%d steps: %d of %d held, want %d of %d", c.n, e.step.Len(), e.fold(), c.held, c.fold)
		}
		for i := range e.step.Len() {
			v, want := *e.step.At(i), float32(0)
			for k := range c.fold {
				want += float32((i*c.fold + k) % 5)
			}
			if v != want {
				t.Fatalf("%d steps: step %d is %g, want %g", c.n, i, v, want)
			}
		}
		m := Meter{stepEnergies: e}
		if steps, perSecond := m.Steps(); steps.Len() != c.held || perSecond != 100/float64(c.fold) {
			t.Errorf("%d steps: %d at %g a second", c.n, steps.Len(), perSecond)
		}
	}
}
