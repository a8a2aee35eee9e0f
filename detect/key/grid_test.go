package key

import (
	"math"
	"testing"
)

// Bins of 10 cents from half a semitone below C1 (MIDI 24): A4 is in the middle of its ten, at
// (69 - 24 + 1/2) 10 = 455; 4 cents above it are shared 6 to 4 with the next.
func TestGridOfPitch(t *testing.T) {
	for _, c := range []struct {
		hz, cents float64
		bin       int
		share     float64
	}{{440, 0, 455, 1}, {440, 4, 455, 0.6}, {440, 10, 456, 1}, {32.7032, 0, 5, 1}, {3520, 0, 815, 1}} {
		var m moment
		m.add([]peak{{c.hz * math.Exp2(c.cents/1200), 2}})
		if got := float64(m.pitch[c.bin]) / 2; math.Abs(got-c.share) > 2e-3 {
			t.Errorf("%.1f Hz %+.0f cents: %.3f in bin %d, want %.3f", c.hz, c.cents, got, c.bin, c.share)
		}
		if got := float64(m.pitch[c.bin+1]) / 2; math.Abs(got-(1-c.share)) > 2e-3 {
			t.Errorf("%.1f Hz %+.0f cents: %.3f in the next", c.hz, c.cents, got)
		}
	}
}

// The partials of a note on that grid: the fundamental at 0, the octave at 120 bins, the third
// at 190.195 (120 log2 3), shared between 190 and 191; each by its number to the power of -1.3.
func TestFineSpectrum(t *testing.T) {
	at := map[int]float64{}
	sum := 0.0
	for _, p := range fineSpectrum() {
		at[p.up] += p.weight
		sum += p.weight
	}
	third := math.Pow(3, -partialSlope)
	for bin, want := range map[int]float64{0: 1, 120: math.Exp2(-partialSlope), 190: third * 0.80450, 191: third * 0.19550} {
		if math.Abs(at[bin]-want) > 1e-5 {
			t.Errorf("bin %d: %.5f, want %.5f", bin, at[bin], want)
		}
	}
	all := 0.0
	for h := 1.0; h <= partials; h++ {
		all += math.Pow(h, -partialSlope)
	}
	if math.Abs(sum-all) > 1e-9 {
		t.Errorf("all partials weigh %.4f, want %.4f", sum, all)
	}
}
