package transfer

import (
	"math"
	"math/cmplx"
	"math/rand/v2"
	"testing"
)

// Expected by the constants' own words; bars of 120 BPM last 2 s, of 133.33 BPM a turn of
// a record at 33 1/3 (1.8 s), and of 177.78 BPM three quarters of such a turn.
func TestWowThreshold(t *testing.T) {
	for _, c := range []struct {
		hz, bpm, confidence, want float64
	}{
		{0.62, 0, 0, wowStands},
		{100.0 / 180, 0, 0, wowTurns},
		{0.75, 126, 0.9, wowTurns},
		{0.5, 120, 0.9, wowStands * wowBeat},
		{0.625, 120, 0.9, wowStands * wowBeat},
		{0.56, 120, 0.9, wowTurns},
		{0.69, 120, 0.9, wowStands},
		{0.5, 120, clickSure - 0.01, wowStands},
		{100.0 / 180, 400.0 / 3, 0.9, wowTurns * wowBeat},
		{100.0 / 180, 1600.0 / 9, 0.9, wowTurns},
	} {
		if got := wowThreshold(c.hz, Beat{c.bpm, c.confidence}); got != c.want {
			t.Errorf("%.3f Hz at %.1f BPM: %g, want %g", c.hz, c.bpm, got, c.want)
		}
	}
}

// A wow is plain by three marks.
func TestPlainWow(t *testing.T) {
	for _, c := range []struct {
		s    swing
		want bool
	}{
		{swing{percent: wowHeard, score: wowPlain, turns: true}, true},
		{swing{percent: wowHeard - 0.01, score: wowPlain, turns: true}, false},
		{swing{percent: wowHeard, score: wowPlain - 0.1, turns: true}, false},
		{swing{percent: 1, score: 100}, false},
	} {
		if c.s.plain() != c.want {
			t.Errorf("%+v: %v", c.s, !c.want)
		}
	}
}

// swaying is the steps of a pitch that swings by percent at hz, in both bands, over a
// little noise.
func swaying(hz, percent float64) *wow {
	w := newWow(2756.25)
	rng := rand.New(rand.NewPCG(1, 2))
	rate := w.rate / wowHop
	for i := range 4 * wowLeast {
		at := float64(i) / rate
		d := percent * (math.Sin(2*math.Pi*hz*(at+1/rate)) - math.Sin(2*math.Pi*hz*at))
		var s wowStep
		for b := range s.change {
			s.change[b], s.weight[b] = float32(d/100+2e-4*rng.NormFloat64()), 4
		}
		w.turns.add(s)
	}
	return w
}

// A swing is named from 0.2 % where a record turns and from 0.35 % elsewhere: music
// swings by itself, and hardly ever at just those speeds.
func TestLeastSwing(t *testing.T) {
	for _, c := range []struct {
		hz, percent float64
		want        bool
	}{
		{100.0 / 180, 0.5, true}, {100.0 / 180, 0.25, true}, {100.0 / 180, 0.15, false}, {0.75, 0.25, true},
		{1.3, 0.5, true}, {1.3, 0.25, false}, {0.62, 0.25, false},
	} {
		got := standing(swaying(c.hz, c.percent).swings(Beat{}), nil)
		if (got.percent > 0) != c.want || (c.want && (math.Abs(got.percent-c.percent) > 0.05 || math.Abs(got.hz-c.hz) > 0.02)) {
			t.Errorf("%.2f %% at %.3f Hz: found %+v, want %v", c.percent, c.hz, got, c.want)
		}
	}
}

// A sine of k + d bins turns by pi (k + d) over half a frame.
func TestInstant(t *testing.T) {
	w := newWow(2756.25)
	for _, k := range []int{40, 41} {
		for _, d := range []float64{-0.6, 0, 0.3} {
			a := cmplx.Rect(0.1, 1.1)
			b := a * cmplx.Rect(1, math.Pi*(float64(k)+d))
			want := (float64(k) + d) * 2756.25 / wowSize
			if got := w.instant(complex64(a), complex64(b), k); math.Abs(got-want) > 1e-4 {
				t.Errorf("bin %d and %g: %g Hz, want %g", k, d, got, want)
			}
		}
		if got := w.instant(1, complex64(cmplx.Rect(1, math.Pi*(float64(k)+0.9))), k); got != 0 {
			t.Errorf("bin %d: %g Hz from its border", k, got)
		}
	}
}
