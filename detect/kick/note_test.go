package kick

import (
	"math"
	"testing"
)

// TestNote: scientific pitch notation, A4 being 440 Hz; G1 is 49.00 Hz, E1 41.20.
func TestNote(t *testing.T) {
	for _, c := range []struct {
		hz    float64
		name  string
		cents float64
	}{
		{440, "A4", 0}, {55, "A1", 0}, {48.9994, "G1", 0}, {41.2034, "E1", 0}, {61.7354, "B1", 0}, {32.7032, "C1", 0},
		{55 * math.Exp2(0.3/12), "A1", 30}, {55 * math.Exp2(-0.4/12), "A1", -40}, {46.2493, "F#1", 0}, {30.8677, "B0", 0},
	} {
		if name, cents := Note(c.hz); name != c.name || math.Abs(cents-c.cents) > 0.05 {
			t.Errorf("%.3f Hz is %s %+.2f cents, want %s %+.0f", c.hz, name, cents, c.name, c.cents)
		}
	}
	for _, hz := range []float64{0, -5, math.NaN(), math.Inf(1)} {
		if name, _ := Note(hz); name != "" {
			t.Errorf("%g Hz is %s", hz, name)
		}
	}
}

// TestInKey: the notes of A minor and of Eb major, and no others.
func TestInKey(t *testing.T) {
	for _, c := range []struct {
		tonic string
		minor bool
		notes string // one letter a semitone from C, x for a note of the scale
	}{{"A", true, "x.x.xx.x.x.x"}, {"Eb", false, "x.xx.x.xx.x."}, {"C", false, "x.x.xx.x.x.x"}, {"F#", true, ".xx.x.x.xx.x"}} {
		for n := range 12 {
			hz := 32.7032 * math.Exp2(float64(n)/12)
			if got := InKey(hz, c.tonic, c.minor); got != (c.notes[n] == 'x') {
				t.Errorf("%s, minor %v: note %d in it: %v", c.tonic, c.minor, n, got)
			}
		}
	}
	if InKey(55, "H", true) {
		t.Error("a tonic that is none has a scale")
	}
}
