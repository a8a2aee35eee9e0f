package main

import (
	"os"
	"testing"

	"dubgauge/detect/spectrum"
)

// TestSpreadOfMasters holds the spread of clean masters of one genre, standard
// deviations averaged over the genres, against what released records show (see
// package studio): about 1.5 to 2.5 dB by third octave from 160 Hz to 8 kHz, more
// at both ends, and 0.5 to 1.5 LU in the loudest 30 s. It reads measurements that
// .ci/verdicts has made.
func TestSpreadOfMasters(t *testing.T) {
	dir := os.Getenv("DUBGAUGE_VERDICTS")
	if dir == "" {
		t.Skip("set DUBGAUGE_VERDICTS to a folder that .ci/verdicts has filled")
	}
	by := map[string][]*Record{}
	for _, s := range (material{seeds: 18}).songs() {
		if r := (cache{dir: dir}).load(s); r != nil {
			by[s.Genre] = append(by[s.Genre], r)
		}
	}
	if len(by) < 9 {
		t.Skipf("%d genres in %s: run .ci/verdicts -measure first", len(by), dir)
	}
	mean := func(f func(*Record) float64) (sum float64) {
		for _, rs := range by {
			var x []float64
			for _, r := range rs {
				x = append(x, f(r))
			}
			_, sd := deviation(x)
			sum += sd / float64(len(by))
		}
		return sum
	}
	middle, n := 0.0, 0.0
	for b := range spectrum.Bands {
		sd := mean(func(r *Record) float64 { return relative(r)[b] })
		hz := spectrum.Centres[b]
		if sd < 1 || sd > 9 || (hz >= 160 && hz <= 8000 && sd > 2.8) {
			t.Errorf("%g Hz: %.2f dB", hz, sd)
		}
		if hz >= 160 && hz <= 8000 {
			middle, n = middle+sd, n+1
		}
	}
	if middle /= n; middle < 1.5 || middle > 2.5 {
		t.Errorf("middle: %.2f dB on average, want 1.5 to 2.5", middle)
	}
	if sd := mean(func(r *Record) float64 { return float64(r.Measurement.Loudness.Loudest30sLUFS) }); sd < 0.5 || sd > 1.5 {
		t.Errorf("loudest 30 s: %.2f LU, want 0.5 to 1.5", sd)
	}
}
