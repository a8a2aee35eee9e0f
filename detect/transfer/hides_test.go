package transfer

import (
	"math"
	"testing"
)

// Multiples of the beat in hertz: 125 BPM is 25/12 Hz, of which 50 Hz is 24; 120 BPM is 2
// Hz, of which 50 and 60 are 25 and 30; 150 is 2.5, 20 and 24. 128 BPM is 32/15: 50 Hz is
// 23.4 of them, 60 Hz 28.1.
func TestBeatHidesHum(t *testing.T) {
	for _, c := range []struct {
		bpm          float64
		fifty, sixty bool
	}{
		{125, true, false}, {120, true, true}, {150, true, true}, {128, false, false}, {174, false, false}, {100, true, true},
		{0, false, false}, {math.NaN(), false, false},
	} {
		b := Beat{BPM: c.bpm}
		if b.hides(50) != c.fifty || b.hides(60) != c.sixty {
			t.Errorf("%g BPM: 50 Hz %v, 60 Hz %v", c.bpm, b.hides(50), b.hides(60))
		}
	}
}
