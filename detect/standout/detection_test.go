package standout

import (
	"math/rand/v2"
	"slices"
	"testing"

	"dubgauge/detect"
	"dubgauge/detect/reason"
)

// spreadOut are balances drawn from the prior, so many times as wide.
func spreadOut(n int, wide float64) []tone {
	r := rand.New(rand.NewPCG(12, uint64(n)))
	out := make([]tone, n)
	for i := range out {
		out[i] = (&Track{Balance: drawn(r, wide)}).tone()
	}
	return out
}

// done are mistakes as they show in a track, in dB of its balance and in LU of its level: means
// over the bench's masters (.ci/verdicts). flagged is the share of tracks, in percent, that is
// at least flagged beside 8 references drawn from the prior, named that which also gets the
// right name: what the judge does (logged), less a point or two. The prior is a little wider than
// the bench's masters are, so that these are under the table's.
var done = []struct {
	name           string
	effect         tone
	peak           float64
	codes          []string
	flagged, named float64
}{
	{"gain -3", tone{loud: -3}, -3, []string{reason.Quiet}, 98, 98},
	{"gain +3", tone{0.05, 0.01, 0.25, 0.17, 0.30, 0.39, 0.35, 2.75, 0.25, -0.26, -0.72, -0.64, 0.29, 0.31, 0.33, 0.37}, 0.1, []string{reason.Loud}, 92, 91},
	{"low shelf 100 Hz -6", tone{-3.07, 1.15, 1.32, 1.26, 1.35, 1.42, -1.69, -1.40, -3.64, -2.79, -0.42, 0.49, 1.26, 1.29, 1.34, 1.36}, 0, []string{reason.LowEndThin, reason.SubThin}, 72, 63},
	{"low shelf 100 Hz +6", tone{1.87, -1.54, -1.73, -1.85, -1.67, -1.59, 1.39, 0.57, 2.06, 1.01, -0.70, -1.35, -1.60, -1.57, -1.53, -1.49}, 0, []string{reason.LowEndHeavy, reason.SubHeavy}, 51, 45},
	{"low shelf 60 Hz -6", tone{-1.75, 0.74, 0.78, 0.72, 0.82, 0.88, -2.59, -0.92, -1.79, -0.59, 0.53, 0.65, 0.76, 0.79, 0.83, 0.84}, 0, []string{reason.LowEndThin, reason.SubThin}, 28, 20},
	{"high shelf 8 kHz -8", tone{0.26, 0.31, 0.30, -0.04, -3.32, -7.23, 0, -0.31, 0.27, 0.27, 0.27, 0.26, -1.77, -3.57, -5.65, -7.06}, 0, []string{reason.TopDull}, 63, 60},
	{"high shelf 8 kHz +8", tone{-0.53, -0.72, -0.74, -0.57, 2.85, 6.01, -0.01, 0.23, -0.47, -0.53, -0.66, -0.73, 0.90, 2.61, 4.57, 5.86}, 0, []string{reason.TopBright}, 58, 55},
	{"presence 3.5 kHz +5", tone{-0.61, -0.83, 0.03, 2.97, 0.69, -0.61, -0.01, 0.21, -0.53, -0.60, -0.80, -0.97, 1.42, 0.52, -0.14, -0.55}, 0, []string{reason.Harsh}, 52, 43},
	{"mids 350 Hz -6", tone{0.75, -3.50, -0.43, 1.15, 1.32, 1.36, 0.52, -1.28, 0.86, 0.61, -0.30, -1.17, 1.33, 1.36, 1.38, 1.39}, 0, []string{reason.Hollow}, 76, 63},
	{"mids 350 Hz +6", tone{-0.95, 2.47, 0.17, -1.70, -1.59, -1.51, -0.25, 0.16, -0.76, -0.86, -1.01, -0.46, -1.71, -1.66, -1.61, -1.59}, 0, []string{reason.Muddy}, 33, 26},
	{"dull tilt", tone{0.83, 0.90, -0.73, -3.95, -4.11, -4.14, 0.04, -0.94, 0.84, 0.84, 0.83, 0.83, -4.07, -4.09, -4.11, -4.11}, 0, []string{reason.TopDull}, 58, 52},
}

// Each row of the README's table, in tracks that differ as the bench's masters do: what is
// found must not fall unseen.
func TestWhatIsFoundOfMistakes(t *testing.T) {
	const trials, references = 1200, 8
	r := rand.New(rand.NewPCG(21, 8))
	flagged, named := make([]int, len(done)), make([]int, len(done))
	for range trials {
		refs := make([]Track, references)
		for i := range refs {
			refs[i] = random(r, int64(i), 1)
			refs[i].Reference = true
		}
		j, clean := New(refs, Options{}), random(r, 999, 1)
		for i, m := range done {
			x := clean
			x.Balance = shaped(x.Balance, 1, m.effect)
			x.Level += detect.Value(m.effect[loud])
			x.True += detect.Value(m.peak)
			got := j.Judge(x)
			if got.Verdict != Ready {
				flagged[i]++
			}
			if slices.ContainsFunc(m.codes, func(c string) bool { return slices.Contains(got.Reasons, c) }) {
				named[i]++
			}
		}
	}
	for i, m := range done {
		share := func(n int) float64 { return 100 * float64(n) / trials }
		t.Logf("%-22s %5.1f %% flagged, %5.1f %% rightly named", m.name, share(flagged[i]), share(named[i]))
		if share(flagged[i]) < m.flagged || share(named[i]) < m.named {
			t.Errorf("%s: %.1f %% flagged, %.1f %% rightly named; want at least %.0f and %.0f", m.name, share(flagged[i]), share(named[i]), m.flagged, m.named)
		}
	}
}
