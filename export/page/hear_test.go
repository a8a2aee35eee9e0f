package page

import (
	"testing"

	"dubgauge/detect"
	"dubgauge/library"
)

// What passes full scale by more is turned down by more before it is sent, and the steps of a
// running order take that back.
func TestHeadroom(t *testing.T) {
	for peak, want := range map[float64]float64{-1: 6, 6: 6, 6.1: 7, 9: 9} {
		var x library.Track
		x.Peak.TruePeakDBTP = detect.Value(peak)
		if got := Headroom(&x); got != want {
			t.Errorf("%g dBTP: %g dB, want %g", peak, got, want)
		}
		if got := float64(over(&x)); got != want-6 {
			t.Errorf("%g dBTP: %g dB more than others", peak, got)
		}
	}
}
