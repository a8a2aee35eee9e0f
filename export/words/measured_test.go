package words

import (
	"testing"

	"dubgauge/detect"
)

// TestMonoLoss: the level of next to no power is no figure for anybody.
func TestMonoLoss(t *testing.T) {
	for v, want := range map[detect.Value]string{
		-0.04: "+0.0 dB below 150 Hz", -39.9: "-39.9 dB below 150 Hz", -40: "nothing left below 150 Hz", -100: "nothing left below 150 Hz",
	} {
		if got := Plain.MonoLoss(v); got != want {
			t.Errorf("%g dB: %q, want %q", v, got, want)
		}
	}
	if got := Plain.MonoLoss(detect.None); got != "- below 150 Hz" {
		t.Errorf("not known: %q", got)
	}
}
