package spectrum

import (
	"fmt"
	"math"
	"testing"
)

// No rate makes a meter panic, though the decoders let nothing below 8 kHz
// through. Of a tone near a sixteenth of the rate the band is right wherever
// there are bands as low as that.
func TestLowRates(t *testing.T) {
	for rate := 1; rate <= 8000; rate += 1 + rate/100 {
		b := int(math.Round(10*math.Log10(float64(rate)/16/1000))) - lowest
		x := sine(rate, 12, Exact(b), 0.5)
		m := write(New(rate, 2), x, x)
		levels := m.Over(4, 8)
		if rate >= 1000 {
			near(t, fmt.Sprintf("tone of %.1f Hz at a rate of %d", Exact(b), rate), levels[b], -6.02, 0.1)
		}
		m.LowPowers(0, 5)
		m.Bandwidth()
		m.LongTerm()
	}
}

// Nor does a track of a few samples or of none, at any number of channels.
func TestLowRatesShortTracks(t *testing.T) {
	for _, rate := range []int{1, 7, 100, 999, 1000, 1050, 1100, 2250, 4000, 7999} {
		for channels := 1; channels <= 8; channels++ {
			for n := range 3 {
				x := make([][]float32, channels)
				for c := range x {
					x[c] = make([]float32, n)
				}
				m := New(rate, channels)
				m.Write(x)
				m.Whole()
				m.LowPowers(0, 1)
				m.Bandwidth()
			}
		}
	}
}
