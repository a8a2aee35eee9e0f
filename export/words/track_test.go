package words

import (
	"testing"

	"dubgauge/detect"
	"dubgauge/detect/standout"
	"dubgauge/export/madeup"
)

// TestLowPart: how far a part of the low end lies off is told where there is one, in the track and
// in its references: a sub that is 85 dB under the music is none.
func TestLowPart(t *testing.T) {
	for _, c := range []struct {
		own, off detect.Value
		want     string
	}{
		{-4, 1.26, "+1.3"}, {-19.9, -10, "-10.0"}, {-20, -10, "none"}, {-85, -79.7, "none"}, {-85, 3, "none"},
		{-5, 14.9, "+14.9"}, {-5, 15, "-"}, {detect.None, detect.None, "-"}, {-5, detect.None, "-"}, {-21, detect.None, "none"},
	} {
		x := madeup.Track(1, "a.wav", -8)
		x.Deviations = []standout.Deviation{{Quantity: standout.Sub, Value: c.own, DB: c.off}}
		if got := Plain.LowPart(&x, standout.Sub); got != c.want {
			t.Errorf("%g dB, %g off: %q, want %q", c.own, c.off, got, c.want)
		}
		if got := Plain.LowPart(&x, standout.LowEnd); got != "-" {
			t.Errorf("another part: %q", got)
		}
	}
}
