package loudness

import (
	"math"
	"testing"
)

// The expected seconds are the lengths of the parts that sound, added up. A hop of
// 100 ms at each edge may count or not, as the filters ring on for a moment.
func TestLoudest30IsSaidOverWhatItWasMeasured(t *testing.T) {
	const rate = 44100
	for _, c := range []struct {
		name  string
		parts []part
		want  float64
		edges int
	}{
		{"sounds throughout", []part{{-14, 60}}, 30, 0},
		{"shorter than 30 s", []part{{-20, 12}}, 12, 0},
		{"an incomplete last step is left out", []part{{-20, 12.07}}, 12, 0},
		{"short, in silence", []part{{silent, 3}, {-12, 21.4}, {silent, 2}}, 21.4, 2},
		{"silence inside the 30 s", []part{{-12, 12}, {silent, 8}, {-12, 10}}, 22, 2},
		{"two pauses", []part{{-12, 8}, {silent, 4}, {-12, 8}, {silent, 2}, {-12, 8}}, 24, 4},
		{"below the gate is silence", []part{{-12, 12}, {-80, 8}, {-12, 10}}, 22, 2},
		{"faint is not", []part{{-12, 12}, {-60, 8}, {-12, 10}}, 30, 0},
		{"gaps between notes", repeat(30, part{-12, 0.6}, part{silent, 0.4}), 30, 4}, // the last gap ends the track
		{"the longest gaps that two blocks bridge", repeat(20, part{-12, 0.9}, part{silent, 0.6}), 29.4, 2},
		{"silence inside, late in the track", []part{{-40, 40}, {-12, 12}, {silent, 8}, {-12, 10}}, 22, 2},
		{"gaps longer than two blocks reach", repeat(15, part{-12, 1}, part{silent, 1}), 15, 15},
	} {
		got := stereo(rate, tone(rate, c.parts...)).Loudest30Over
		if !(math.Abs(got-c.want) <= 0.1*float64(c.edges)+1e-9) {
			t.Errorf("%s: over %.1f s, want %.1f", c.name, got, c.want)
		}
	}
	if got := stereo(rate, make([]float32, 5*rate)).Loudest30Over; !math.IsNaN(got) {
		t.Errorf("silence was measured over %v s", got)
	}
}
