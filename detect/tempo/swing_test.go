package tempo

import (
	"math"
	"testing"
)

// The median by rise of those that agree; none where a fifth or more of the rises lies
// elsewhere, where none is played or a single one rises little.
func TestAgreed(t *testing.T) {
	for _, c := range []struct {
		name   string
		played []offBeat
		want   float64
	}{
		{"none", nil, math.NaN()},
		{"one, plain", []offBeat{{late: 57, rise: 1, share: 0.7}}, 57},
		{"one, faint", []offBeat{{late: 57, rise: 1, share: 0.6}}, math.NaN()},
		{"three", []offBeat{{late: 56, rise: 1, share: 0.4}, {late: 55, rise: 3, share: 0.4}, {late: 55.4, rise: 1, share: 0.4}}, 55},
		{"three, the last loudest", []offBeat{{late: 54, rise: 1, share: 0.4}, {late: 55, rise: 1, share: 0.4}, {late: 55.4, rise: 3, share: 0.4}}, 55.4},
		{"an outlier of a sixth", []offBeat{{late: 55, rise: 2, share: 0.4}, {late: 69, rise: 1, share: 0.4}, {late: 55.2, rise: 3, share: 0.4}}, 55.2},
		{"an outlier of a quarter", []offBeat{{late: 55, rise: 2, share: 0.4}, {late: 69, rise: 1.3, share: 0.4}, {late: 55.2, rise: 2, share: 0.4}}, math.NaN()},
		{"just within", []offBeat{{late: 55, rise: 1, share: 0.4}, {late: 56.4, rise: 1, share: 0.4}}, 55},
		{"just without", []offBeat{{late: 55, rise: 1, share: 0.4}, {late: 56.6, rise: 1, share: 0.4}}, math.NaN()},
	} {
		if got := agreed(c.played); !(got == c.want) && !(math.IsNaN(got) && math.IsNaN(c.want)) {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
		}
	}
}

// Nothing is played on the off-beat sixteenths of a shuffle, whose eighths are triplets; a
// bass that swells there is no percussion.
func TestNoSwing(t *testing.T) {
	r := measure(song{groove: grooves["shuffled"], bpm: 127.3, seconds: 40, seed: 2}.render(), synthRate)
	if !math.IsNaN(r.Swing) {
		t.Errorf("shuffle: %.1f %%", r.Swing)
	}
	r = measure(song{groove: grooves["triplets"], bpm: 127.3, seconds: 40, seed: 2}.render(), synthRate)
	if !(math.Abs(r.Swing-100*2/3.) <= swingTolerance) {
		t.Errorf("triplets: %.1f %%, want 66.7", r.Swing)
	}
	r = measure([][]float32{offBass(40)}, synthRate)
	if !math.IsNaN(r.Swing) || r.BPM != 120 {
		t.Errorf("a swelling bass off the beat: swing %.1f %%, %.1f BPM", r.Swing, r.BPM)
	}
}

// offBass is a kick on each beat of 120 BPM and a bass that swells for 60 ms from each
// off-beat sixteenth, late by a fifth of an eighth.
func offBass(seconds float64) []float32 {
	x := make([]float32, int(seconds*synthRate))
	for i := range x {
		t := float64(i) / synthRate
		in := math.Mod(t, 0.5)
		x[i] = float32(0.6 * math.Exp(-in/0.09) * math.Sin(2*math.Pi*(50*in+3.5*(1-math.Exp(-in/0.03)))))
		if in := math.Mod(t+0.25-0.175, 0.25); in < 0.15 {
			x[i] += float32(0.2 * min(1, in/0.06) * min(1, (0.15-in)/0.06) * math.Sin(2*math.Pi*110*t))
		}
	}
	return x
}

// Of a mean rise of the eighths of 10, 1.5 are needed, and a third of what was before.
func TestPlayed(t *testing.T) {
	all := []offBeat{{50, 1.6, 0.34, 20}, {51, 1.4, 0.9, 0}, {52, 9, 0.32, 15}, {53, 1.6, 0.9, 5}}
	if got := played(all); len(got) != 2 || got[0].late != 50 || got[1].late != 53 {
		t.Errorf("%v, want the first and the last", got)
	}
}

// Of a tempo as likely as not 1/(1+exp(-1.4)) = 0.802; of one that is 98 % sure, and more,
// 1/(1+exp(-1.4-0.87 log 49)) = 0.992; with the beats of bars of three 1/(1+exp(1.8)) = 0.142; of one
// that is hardly sure 1/(1+exp(-1.4+0.87 log 49)) = 0.121.
func TestSwingConfidence(t *testing.T) {
	for _, c := range []struct {
		tempo    float64
		compound bool
		want     float64
	}{{0.5, false, 0.802}, {0.98, false, 0.992}, {1, false, 0.992}, {0.5, true, 0.142}, {0, false, 0.121}} {
		if got := swingConfidence(c.tempo, c.compound); math.Abs(got-c.want) > 0.001 {
			t.Errorf("%v: %.3f, want %.3f", c, got, c.want)
		}
	}
	var r Result
	r.SwingConfidence, r.EighthSwingConfidence, r.Confidence = math.NaN(), math.NaN(), 0.5
	r.Swing, _ = swingOf([]offBeat{{late: 57, rise: 1, share: 0.7}})
	r.EighthSwing, _ = swingOf(nil)
	r.howSure(false)
	if math.Abs(r.SwingConfidence-0.802) > 0.001 || !math.IsNaN(r.EighthSwingConfidence) || r.Swing != 57 || !math.IsNaN(r.EighthSwing) {
		t.Errorf("one swing: %+v", r)
	}
	r.Swing, _ = swingOf(nil)
	r.EighthSwing, _ = swingOf([]offBeat{{late: 58, rise: 1, share: 0.7}})
	r.howSure(true)
	if math.Abs(r.EighthSwingConfidence-0.142) > 0.001 || r.EighthSwing != 58 {
		t.Errorf("of eighths: %+v", r)
	}
}

// A quarter of the rises within two points of two thirds.
func TestInTriplets(t *testing.T) {
	for _, c := range []struct {
		name   string
		played []offBeat
		want   bool
	}{
		{"none", nil, false},
		{"one", []offBeat{{late: 66.7, rise: 1}}, true},
		{"just within", []offBeat{{late: 68.6, rise: 1}}, true},
		{"before, just within", []offBeat{{late: 64.7, rise: 1}}, true},
		{"just without", []offBeat{{late: 68.8, rise: 1}}, false},
		{"before, just without", []offBeat{{late: 64.5, rise: 1}}, false},
		{"a quarter", []offBeat{{late: 66, rise: 2}, {late: 50, rise: 6}}, true},
		{"less than a quarter", []offBeat{{late: 66, rise: 2}, {late: 50, rise: 6.2}}, false},
	} {
		if got := inTriplets(c.played); got != c.want {
			t.Errorf("%s: %v", c.name, got)
		}
	}
}

// A step has an attack, a rise over 24 ms has none.
func TestSwells(t *testing.T) {
	for _, c := range []struct {
		over float64 // steps of attackStep
		want bool
	}{{1, false}, {12, false}, {48, true}} {
		sum := make([]float64, 101)
		for i := range sum {
			sum[i] = max(0, min(1, 0.5+float64(i-50)/c.over))
		}
		if got := swells(sum, 50); got != c.want {
			t.Errorf("a rise over %.0f steps: %v", c.over, got)
		}
	}
}

// swung is a clock whose second halves of beats begin at the given percent of them.
func swung(bpm, percent float64) func(float64) float64 {
	return func(b float64) float64 {
		whole := math.Floor(b)
		in, late := b-whole, percent/100
		if in < 0.5 {
			in *= 2 * late
		} else {
			in = late + (in-0.5)*2*(1-late)
		}
		return (whole + in) * 60 / bpm
	}
}

// The swing of eighths, apart from that of sixteenths: of a shuffle 66.7 %, and as played
// where off-beat hats and chords are late; none where no eighth is played off the beat.
func TestSwingOfEighths(t *testing.T) {
	house := groove{kick: "x...x...x...x...", hat: "..x...x...x...x.", clap: "....x.......x...", stab: "......x.......x."}
	sixteenths := groove{kick: "x...x...x...x...", hat: "..xx..xx..xx..xx", clap: "....x.......x..."}
	beats := groove{kick: "x...x...x...x...", clap: "....x.......x..."}
	// Straight eighths after the first two beats, triplets after the others.
	both := groove{kick: "x...x...x...x...", hat: "..x...x.........", rim: "........x..x"}
	for _, c := range []struct {
		name    string
		s       song
		percent float64
	}{
		{"straight", song{groove: house, bpm: 124}, 50},
		{"a little", song{groove: house, bpm: 124, clock: swung(124, 56)}, 56},
		{"much", song{groove: house, bpm: 118, clock: swung(118, 62)}, 62},
		{"shuffle", song{groove: grooves["shuffled"], bpm: 112}, 100 * 2 / 3.},
		{"break", song{groove: grooves["break"], bpm: 108, clock: swung(108, 58)}, 58},
		{"sixteenths swing, eighths do not", song{groove: sixteenths, bpm: 124, swing: 62}, 50},
		{"after the third beat alone", song{groove: groove{kick: "x...x...x...x...", clap: "....x.....x.x..."}, bpm: 124}, 50},
		{"straight and triplets", song{groove: both, bpm: 124}, math.NaN()},
		{"none between the beats", song{groove: beats, bpm: 124}, math.NaN()},
	} {
		c.s.seconds, c.s.seed = 40, 6
		r := measure(c.s.render(), synthRate)
		t.Logf("%s: %.1f %% of a beat, sixteenths %.1f %%, %.2f BPM", c.name, r.EighthSwing, r.Swing, r.BPM)
		if !(math.Abs(r.EighthSwing-c.percent) <= swingTolerance) && !(math.IsNaN(c.percent) && math.IsNaN(r.EighthSwing)) {
			t.Errorf("%s: eighths %.1f %%, want %.1f", c.name, r.EighthSwing, c.percent)
		}
	}
}
