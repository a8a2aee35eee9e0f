package main

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"

	"dubgauge/cmd/dubgauge/studio"
	"dubgauge/detect"
)

// TestDetects: tables of the normal distribution (Abramowitz & Stegun, table 26.1) give
// 0.9750 at 1.96 and 0.9495 at 1.64; without a shift the observer finds as many as it
// flags.
func TestDetects(t *testing.T) {
	for _, c := range []struct{ d, alarms, want float64 }{
		{0, 0.05, 0.05}, {0, 0.01, 0.01}, {1.96, 0.05, 0.5}, {3.92, 0.05, 0.975}, {3.60, 0.05, 0.9495}, {2.576, 0.01, 0.5},
	} {
		if got := detects(c.d, c.alarms); math.Abs(got-c.want) > 1e-3 {
			t.Errorf("d' %g at %g: %.4f, want %.4f", c.d, c.alarms, got, c.want)
		}
	}
}

// TestDPrime by hand: with unit variances and correlation r, the inverse has 1/(1-r^2)
// on its diagonal and -r/(1-r^2) beside it.
func TestDPrime(t *testing.T) {
	for _, c := range []struct{ r, x, y, want float64 }{
		{0, 3, 4, 5}, {0.6, 1, 0, 1.25}, {0.6, 1, 1, math.Sqrt(2 * 0.4 / 0.64)},
	} {
		cov := mat.NewSymDense(2, []float64{1, c.r, c.r, 1})
		if got := dPrime(cov, []float64{c.x, c.y}); math.Abs(got-c.want) > 1e-12 {
			t.Errorf("(%g, %g) at correlation %g: %g, want %g", c.x, c.y, c.r, got, c.want)
		}
	}
}

// levelled is a record of which only level and low end are known.
func levelled(genre string, seed uint64, defect string, level, low float64) *Record {
	r := &Record{Spec: Spec{Genre: genre, Seed: seed, Defect: defect}}
	r.Measurement.Loudness.Loudest30sLUFS = detect.Value(level)
	r.Measurement.Balance.LowDB = detect.Value(low)
	return r
}

// TestWithinGenres: two genres 5 LU apart, in each masters 2 LU apart: the spread is
// that of one genre, sqrt((1+1+1+1)/(4-2)).
func TestWithinGenres(t *testing.T) {
	songs := []*Record{levelled("a", 1, "", -6, 0), levelled("a", 3, "", -8, 0), levelled("b", 1, "", -11, 0),
		levelled("b", 3, "", -13, 0), levelled("c", 1, "", -3, 0), levelled("a", 5, "", math.NaN(), 0),
		levelled(openMusic, 1, "", -3, 0), levelled(openMusic, 3, "", -20, 0)}
	cov, n := within(songs, []int{levelFigure})
	if got := cov.At(0, 0); n != 4 || math.Abs(got-2) > 1e-12 {
		t.Errorf("variance %g of %d songs, want 2 of 4", got, n)
	}
}

// TestLimitOfGain: with that spread, 1.414 LU, a gain of 3 dB is d' 2.12: by the normal
// distribution 56.4 % at 5 % of false alarms.
func TestLimitOfGain(t *testing.T) {
	b := arrange([]*Record{levelled("a", 1, "", -6, 0), levelled("a", 3, "", -8, 0), levelled("b", 1, "", -11, 0),
		levelled("b", 3, "", -13, 0), levelled("a", 1, "gain -3", -9, 0), levelled("b", 3, "gain -3", -16, 0),
		levelled("b", 3, "gain -6", -19, 0)}, "show")
	for _, d := range studio.Defects() {
		if d.Name != "gain -3" {
			continue
		}
		if l := limitOf(b, d); l.songs != 2 || math.Abs(l.d-3/math.Sqrt2) > 1e-12 || math.Abs(l.all-0.564) > 1e-3 {
			t.Errorf("%+v", l)
		}
	}
}

// TestHalfOfTheMaterial: only the half that is asked for is made.
func TestHalfOfTheMaterial(t *testing.T) {
	all := material{seeds: 4, looks: 2, pieces: []string{"x", "y"}}
	for _, half := range []string{"fit", "show"} {
		m := all
		m.half = half
		songs := m.songs()
		if len(songs) != len(all.songs())/2 {
			t.Errorf("%s: %d of %d songs", half, len(songs), len(all.songs()))
		}
		for _, s := range songs {
			if s.Half() != half {
				t.Errorf("%s: %s", half, s)
			}
		}
	}
}
