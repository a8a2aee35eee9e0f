package transfer

import (
	"math"
	"math/rand/v2"
	"testing"
)

// Rumble is as even as noise in so few bins is, and does not follow the bass.
func TestSteadyLow(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 7))
	for _, c := range []struct {
		name         string
		spread, tied float64 // dB
		want         bool
	}{{"steady", 1.5, 0, true}, {"uneven", 6, 0, false}, {"follows the bass", 0, 1.5, false}, {"follows it in part", 1, 1, false}} {
		l := &low{rate: slowRate}
		for range 200 {
			beat := rng.NormFloat64()
			level := -45 + c.spread*rng.NormFloat64() + c.tied*beat
			l.frames = append(l.frames, lowFrame{side: float32(math.Pow(10, level/10)), bass: float32(math.Pow(10, -2+beat/2))})
		}
		if got := l.steadyLow(sideRumble); math.IsNaN(got) == c.want {
			t.Errorf("%s: %.1f dBFS", c.name, got)
		}
	}
}
