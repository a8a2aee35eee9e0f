package tempo

import (
	"math"
	"testing"
)

// What the drift of a synthesised track must be exact to: the local tempo is a
// mean over 8 s and its extremes are cut by a median of five, so that a ramp
// loses up to 12 s of its length; the beginning of a ramp is drawn back from
// where it has become plain.
const (
	driftShare = 0.15 // of the true drift
	driftFloor = 0.1  // percent
	fromPart   = 0.15 // of the length of the ramp
	fromFloor  = 10   // seconds, for steps
)

func TestDrift(t *testing.T) {
	const seconds = 150
	from := func(at float64, bpm float64, c func(float64) float64) func(float64) float64 {
		return func(b float64) float64 {
			if t := b * 60 / bpm; t < at {
				return t
			}
			return at + c(b-at*bpm/60)
		}
	}
	for _, c := range []struct {
		name       string
		groove     string
		clock      func(float64) float64
		lo, hi     float64 // of the tempo
		drift      float64 // percent
		from, part float64 // seconds: where it starts, how long it takes
	}{
		{"steady", "four on the floor", steady(127.3), 127.3, 127.3, 0, math.NaN(), 0},
		{"steady, no drums", "arpeggio", steady(127.3), 127.3, 127.3, 0, math.NaN(), 0},
		{"ramp of 0.5 %", "four on the floor", ramp(127, 0.5, seconds), 127, 127.64, 0.5, 0, seconds},
		{"ramp of 1 %", "house with sixteenths", ramp(127, 1, seconds), 127, 128.3, 1, 0, seconds},
		{"ramp of 2 %", "broken beat", ramp(127, 2, seconds), 127, 129.6, 2, 0, seconds},
		{"ramp of -4 %", "drum and bass", ramp(174, -4, seconds), 167, 174, 4, 0, seconds},
		{"2 % in the second half", "four on the floor", from(75, 127, ramp(127, 2, 75)), 127, 129.6, 2, 75, 75},
		{"step of 1.6 %", "four on the floor", step(126, 128, 75), 126, 128, 1.59, 75, 0},
		{"step of 5 %", "two step", step(120, 126, 75), 120, 126, 5, 75, 0},
		{"step down", "break", step(140, 139, 60), 139, 140, 0.72, 60, 0},
		{"live", "break", live(112, 1), 109, 115, spanOf(live(112, 1), seconds), math.NaN(), 0},
	} {
		x := song{groove: grooves[c.groove], bpm: 127, seconds: seconds, vary: 0.06, breaks: true, clock: c.clock, seed: 3}.render()
		r := measure(x, synthRate)
		t.Logf("%-24s %8.3f BPM, confidence %.2f, drift %.2f %% (want %.2f) from %.1f s", c.name, r.BPM, r.Confidence, r.DriftPercent, c.drift, r.DriftFrom)
		if !(r.BPM > c.lo-bpmTolerance && r.BPM < c.hi+bpmTolerance) {
			t.Errorf("%s: %.3f BPM, want %.1f to %.1f", c.name, r.BPM, c.lo, c.hi)
		}
		if d := math.Abs(r.DriftPercent - c.drift); !(d <= max(driftFloor, driftShare*c.drift)) || c.drift == 0 && d != 0 {
			t.Errorf("%s: drift %.3f %%, want %.2f", c.name, r.DriftPercent, c.drift)
		}
		if d := math.Abs(r.DriftFrom - c.from); !math.IsNaN(c.from) && !(d <= max(fromFloor, fromPart*c.part)) {
			t.Errorf("%s: drift from %.1f s, want %.1f", c.name, r.DriftFrom, c.from)
		}
	}
}

// spanOf is the range of the tempo of a clock, each taken over localSeconds, in
// percent.
func spanOf(clock func(float64) float64, seconds float64) float64 {
	lo, hi := math.Inf(1), 0.0
	for a, b := 0.0, 0.0; clock(a) < seconds-localSeconds; a += 0.25 {
		for clock(b)-clock(a) < localSeconds {
			b += 0.01
		}
		lo, hi = min(lo, b-a), max(hi, b-a)
	}
	return 200 * (hi - lo) / (hi + lo)
}

// A jump of the phase is not a change of the tempo.
func TestJump(t *testing.T) {
	clock := func(b float64) float64 {
		if t := b * 60 / 127; t < 60 {
			return t
		}
		return b*60/127 + 0.13
	}
	r := measure(song{groove: grooves["break"], bpm: 127, seconds: 120, clock: clock, seed: 3}.render(), synthRate)
	if math.Abs(r.BPM-127) > bpmTolerance || r.DriftPercent != 0 {
		t.Errorf("%+v", r)
	}
}
