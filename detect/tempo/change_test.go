package tempo

import (
	"math"
	"testing"
)

// What a change must be exact to: its place to two beats, the tempi as any others.
const changeBeats = 2

func TestChange(t *testing.T) {
	const seconds = 150
	for _, c := range []struct {
		groove   string
		from, to float64
		at       float64 // seconds
	}{
		{"house with sixteenths", 128, 140, 75}, {"drum and bass", 174, 160, 75}, {"four on the floor", 140, 128, 50},
		{"break", 128, 137.5, 100}, {"two step", 120, 126, 75}, {"broken beat", 100, 126, 70},
	} {
		s := song{groove: grooves[c.groove], bpm: c.from, seconds: seconds, vary: 0.06, clock: step(c.from, c.to, c.at), seed: 5}
		r := measure(s.render(), synthRate)
		t.Logf("%-22s %.1f to %.1f BPM at %.0f s: %.2f to %.2f at %.2f, BPM %.2f (%.2f), drift %.2f %% from %.1f", c.groove, c.from, c.to, c.at,
			r.ChangeFrom, r.ChangeTo, r.ChangeAt, r.BPM, r.Confidence, r.DriftPercent, r.DriftFrom)
		if !(math.Abs(r.ChangeAt-c.at) <= changeBeats*60/min(c.from, c.to)) {
			t.Errorf("%s: change at %.2f s, want %.1f", c.groove, r.ChangeAt, c.at)
		}
		if !(math.Abs(r.ChangeFrom-c.from) <= bpmTolerance) || !(math.Abs(r.ChangeTo-c.to) <= bpmTolerance) {
			t.Errorf("%s: from %.3f to %.3f BPM, want %.1f to %.1f", c.groove, r.ChangeFrom, r.ChangeTo, c.from, c.to)
		}
		longer := c.from
		if c.at < seconds/2 {
			longer = c.to
		}
		if c.at != seconds/2 && math.Abs(r.BPM-longer) > bpmTolerance {
			t.Errorf("%s: %.3f BPM, want %.1f, held longest", c.groove, r.BPM, longer)
		}
		if want := 100 * math.Abs(c.to-c.from) / r.BPM; math.Abs(r.DriftPercent-want) > 0.1 || r.DriftFrom != r.ChangeAt {
			t.Errorf("%s: drift %.3f %% from %.2f, want %.3f from %.2f", c.groove, r.DriftPercent, r.DriftFrom, want, r.ChangeAt)
		}
		if !(math.Abs(r.FirstBeat) <= 0.005) {
			t.Errorf("%s: first beat %.4f", c.groove, r.FirstBeat)
		}
	}
}

// A tempo that is steady, ramps, wanders as players do or goes half time does not change,
// nor does one with a long break.
func TestNoChange(t *testing.T) {
	half := func(b float64) float64 { return step(140, 70, 60)(b) }
	for name, s := range map[string]song{
		"steady":    {groove: grooves["break"], bpm: 128, seconds: 120, vary: 0.06, breaks: true, seed: 5},
		"ramp":      {groove: grooves["four on the floor"], bpm: 127, seconds: 120, clock: ramp(127, 4, 120), seed: 5},
		"live":      {groove: grooves["break"], bpm: 112, seconds: 120, clock: live(112, 2), jitter: 0.008, seed: 5},
		"half time": {groove: grooves["break"], bpm: 140, seconds: 120, clock: half, seed: 5},
	} {
		if r := measure(s.render(), synthRate); !math.IsNaN(r.ChangeAt) || !math.IsNaN(r.ChangeFrom) || !math.IsNaN(r.ChangeTo) {
			t.Errorf("%s: from %.2f to %.2f BPM at %.1f s", name, r.ChangeFrom, r.ChangeTo, r.ChangeAt)
		}
	}
}

// The split that most agree with; each side of two at least, three of four of one tempo,
// and no other level of the same.
func TestSplitPieces(t *testing.T) {
	for _, c := range []struct {
		name string
		bpm  []float64
		want int
	}{
		{"one tempo", []float64{128, 128.1, 127.9, 128, 128, 128}, 0},
		{"half and half", []float64{128, 128, 128, 140, 140, 140}, 3},
		{"late", []float64{128, 128, 128, 128, 140, 140}, 4},
		{"too late", []float64{128, 128, 128, 128, 128, 140}, 0},
		{"one piece is a break", []float64{128, 128, 97, 128, 140, 140, 140, 140}, 4},
		{"half of them are", []float64{128, 97, 111, 128, 140, 140, 140, 140}, 0},
		{"double", []float64{87, 87, 87, 174, 174, 174}, 0},
		{"two thirds", []float64{120, 120, 120, 80.4, 80.4, 80.4}, 0},
		{"one percent", []float64{128, 128, 128, 129.2, 129.2, 129.2}, 0},
		{"1.6 percent", []float64{126, 126, 126, 128, 128, 128}, 3},
		{"by hand", []float64{110, 112, 113, 111, 109, 114, 112, 110}, 0},
		{"short", []float64{128, 140, 140}, 0},
	} {
		if got := splitPieces(c.bpm); got != c.want {
			t.Errorf("%s: %d, want %d", c.name, got, c.want)
		}
	}
}
