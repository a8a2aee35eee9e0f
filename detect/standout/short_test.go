package standout

import (
	"slices"
	"testing"

	"dubgauge/detect"
	"dubgauge/detect/reason"
)

// TestShortSound: a stab that is shorter than one block of BS.1770-5 (400 ms) has no
// loudness and is not silent; in mono and in stereo it is judged alike.
func TestShortSound(t *testing.T) {
	for _, c := range []struct {
		name          string
		seconds, peak detect.Value
		want          Verdict
		code          string
	}{
		{"a stab", 0.35, -2.9, Ready, reason.Short},
		{"a stab too quiet to hear", 0.35, -80, HoldBack, "silence"},
		{"nothing at all", 60, detect.None, HoldBack, "silence"},
		{"long enough, and silent", 60, -65, HoldBack, "silence"},
		{"one block, and silent", 0.4, -50, HoldBack, "silence"},
	} {
		for _, channels := range []int{1, 2} {
			m := detect.Empty()
			m.File.Channels, m.File.DurationS, m.Peak.TruePeakDBTP = channels, c.seconds, c.peak
			got := New(nil, Options{}).Judge(Of(1, &m, nil))
			if got.Verdict != c.want || !slices.Equal(got.Reasons, []string{c.code}) {
				t.Errorf("%s, %d channels: %s %q, want %s %q", c.name, channels, got.Verdict, got.Reasons, c.want, c.code)
			}
		}
	}
}
