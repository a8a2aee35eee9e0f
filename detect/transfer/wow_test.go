package transfer

import (
	"math"
	"math/cmplx"
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
