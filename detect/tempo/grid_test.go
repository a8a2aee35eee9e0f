package tempo

import (
	"math"
	"testing"
)

// beatTolerance is what the first beat of sharp sounds must be exact to, in
// seconds: a quarter of the 2 ms in which two files of a track must agree
// would be the ideal; a stab that rises over 3 ms is 1.4 ms late.
const beatTolerance = 0.0015

func TestFirstBeatOfClicks(t *testing.T) {
	for name, v := range map[string]voice{"click": click, "kick": kick, "snare": snare, "clap": clap, "stab": stab} {
		for _, offset := range []float64{0, 0.2503, 1.3333} {
			for _, gain := range []float64{1, 0.03} { // full scale and 30 dB down
				s := song{groove: groove{v: "x...x...x...x..."}, bpm: 127.3, seconds: 20, offset: offset, gain: gain}
				r := measure(s.render(), synthRate)
				if !(math.Abs(r.FirstBeat-offset) <= beatTolerance) || !(math.Abs(r.BPM-127.3) <= bpmTolerance) {
					t.Errorf("%s at %.4f s, gain %.2f: first beat %.4f, %.3f BPM", name, offset, gain, r.FirstBeat, r.BPM)
				}
			}
		}
	}
}

func TestFirstBeatAfterIntro(t *testing.T) {
	g := groove{kick: "x...x...x...x...", hat: "..x...x...x...x.", pad: "x..............."}
	r := measure(song{groove: g, bpm: 124, seconds: 120, intro: 124, seed: 4}.render(), synthRate)
	if !(math.Abs(r.FirstBeat-60) <= beatTolerance) || r.BPM != 124 {
		t.Errorf("beatless intro of 60 s: first beat %.4f, %.3f BPM", r.FirstBeat, r.BPM)
	}
}

// The downbeat is given for at least half of the grooves, and never wrong
// where the beat is right.
func TestDownbeat(t *testing.T) {
	given := 0
	names := []string{"four on the floor", "broken beat", "drum and bass", "two step", "electro", "half time", "minimal", "steppers"}
	for i, name := range names {
		offset, bpm := 0.1+0.3*float64(i%5), 120+7*float64(i)
		s := song{groove: grooves[name], bpm: bpm, seconds: 90, vary: 0.06, breaks: true, offset: offset, seed: uint64(i)}
		r := measure(s.render(), synthRate)
		bars := (r.FirstDownbeat - offset) * bpm / 240
		t.Logf("%-20s first beat %.4f, first downbeat %.4f, in bars from the true one %.3f", name, r.FirstBeat, r.FirstDownbeat, bars)
		if math.IsNaN(bars) {
			continue
		}
		given++
		if math.Abs(bars-math.Round(bars)) > 0.02 {
			t.Errorf("%s: downbeat at %.4f s, %.3f bars from the true one", name, r.FirstDownbeat, bars)
		}
	}
	if given < len(names)/2 {
		t.Errorf("a downbeat for %d of %d", given, len(names))
	}
}

// swingTolerance is that of the task, in percent. It holds for sounds with an
// attack; sixteenths of a shaker that swells for 15 ms come out up to 3 % late.
const swingTolerance = 1.5

func TestSwing(t *testing.T) {
	for _, name := range []string{"steppers", "broken beat", "two step", "electro"} {
		for i, want := range []float64{50, 54, 58, 62, 66.7} {
			s := song{groove: grooves[name], bpm: 119.5 + 5*float64(i), seconds: 30, swing: want, seed: uint64(i)}
			r := measure(s.render(), synthRate)
			t.Logf("%-22s %.1f %% at %.1f BPM: %.2f %% at %.3f", name, want, s.bpm, r.Swing, r.BPM)
			if !(math.Abs(r.Swing-want) <= swingTolerance) {
				t.Errorf("%s: swing %.2f %%, want %.1f", name, r.Swing, want)
			}
		}
	}
	if r := measure(song{groove: grooves["four on the floor"], bpm: 125, seconds: 30}.render(), synthRate); !math.IsNaN(r.Swing) {
		t.Errorf("swing %.2f %% without sixteenths", r.Swing)
	}
}
