package standout

import (
	"testing"

	"dubgauge/detect"
	"dubgauge/detect/reason"
)

// A tempo that drifts is said so, unless a piece is missing or there twice, which moves the
// beats as much.
func TestDriftOfASkip(t *testing.T) {
	for _, tt := range []struct {
		drift float64
		kind  reason.Kind
		want  int
	}{
		{driftLimit, reason.DCOffset, 1}, {-driftLimit, reason.DCOffset, 1}, {driftLimit - 0.01, reason.DCOffset, 0},
		{driftLimit, reason.Jump, 0}, {driftLimit, reason.Repeat, 0}, {driftLimit, reason.RepeatUnsure, 0},
	} {
		track := &Track{ChangeAtS: detect.None, DriftPercent: detect.Value(tt.drift), Faults: []detect.Fault{{Kind: string(tt.kind)}}}
		if got := driftReason(track); len(got) != tt.want {
			t.Errorf("%g %% beside %s: %+v", tt.drift, tt.kind, got)
		}
	}
}
