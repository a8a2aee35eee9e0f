package standout

import "testing"

// TestMoveOfNoEffect: of a move that shows in none of the figures there is nothing, in no spreads.
func TestMoveOfNoEffect(t *testing.T) {
	w := way{weights: []float64{0, 0}}
	if dB, spreads := w.amount([]float64{3, -2}); dB != 0 || spreads != 0 {
		t.Errorf("%g dB, %g spreads", dB, spreads)
	}
}
