package detect

import (
	"context"
	"io"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"dubgauge/detect/reason"
)

// TestDropoutOfNoise: the sound falls at once to noise far below the music and comes back
// at once, off the beat, as a cable, a tape or a converter does it. Zeros at the same place
// are found; noise 40 to 60 dB under the music is no less a hole.
func TestDropoutOfNoise(t *testing.T) {
	const rate, from, to = 44100, 888042, 914502 // 20.137 to 20.737 s, 48.6 beats after the start
	song := mix(138, 2, kick(0.7, 50), snare(0.3), hats(0.5, 1), bassLine(0.25, 55), chords(0.06, 330), pad(0.03, 440))
	l, r := song(rate, 40)
	for _, dBFS := range []float64{math.Inf(-1), -74, -62} {
		left, right := slices.Clone(l), slices.Clone(r)
		rng, rms := rand.New(rand.NewPCG(3, 1)), math.Pow(10, dBFS/20)
		for i := from; i < to; i++ {
			left[i], right[i] = float32(rms*rng.NormFloat64()), float32(rms*rng.NormFloat64())
		}
		m, err := Analyze(context.Background(), play(rate, io.EOF, left, right), int64(4*len(left)), nil)
		if err != nil {
			t.Fatal(err)
		}
		there := func(f Fault) bool {
			return f.Kind == string(reason.Hole) && math.Abs(float64(f.AtS)-from/float64(rate)) < 0.01
		}
		if !slices.ContainsFunc(m.Faults, there) {
			t.Errorf("0.6 s at %.0f dBFS from 20.137 s: said %v, want a hole there", dBFS, m.Faults)
		}
	}
}
