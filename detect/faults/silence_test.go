package faults

import (
	"math"
	"testing"
)

// TestSilenceIsPutShortly: how quiet a silence is stands there once, and not beside the limit that
// it lies under, which is the same figure where it lies just under it.
func TestSilenceIsPutShortly(t *testing.T) {
	seconds := func(level float64, from, to int) []float32 {
		x := make([]float32, 12*8000)
		for i := range x {
			amplitude := level
			if i < from*8000 || i >= to*8000 {
				amplitude = 0.5
			}
			x[i] = float32(amplitude * math.Sin(2*math.Pi*250*float64(i)/8000))
		}
		return x
	}
	soft := math.Sqrt2 * math.Pow(10, -60.2/20) // a sine of -60.2 dBFS RMS
	for _, c := range []struct {
		x    []float32
		want string
	}{
		{seconds(soft, 0, 3), "3.0 s of silence at the start, at most -60 dBFS"},
		{seconds(0, 0, 3), "3.0 s of silence at the start, digital silence"},
		{seconds(soft, 4, 12), "8.0 s of silence at the end, at most -60 dBFS"},
		{seconds(soft, 0, 12), "at most -60 dBFS in the whole track"},
		{seconds(0, 0, 12), "digital silence in the whole track"},
	} {
		r := run(wav(8000, 1), [][]float32{c.x})
		if last := len(r.Faults) - 1; last < 0 || r.Faults[last].Detail != c.want {
			t.Errorf("%+v, want %q", r.Faults, c.want)
		}
	}
}

// From 40 dB of loss on nothing is left, and no figure is given of it.
func TestLostInMono(t *testing.T) {
	for dB, want := range map[float64]string{39.9: "39.9 dB of the whole lost in mono", 40: "nothing of the whole is left in mono", 60: "nothing of the whole is left in mono"} {
		if got := lost(dB); got != want {
			t.Errorf("%g dB: %q, want %q", dB, got, want)
		}
	}
}
