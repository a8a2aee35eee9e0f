package transfer

import (
	"math"
	"math/rand/v2"
	"testing"
)

// Expected: the level of the louder channel, by the energy of its second differences.
func TestHissTakesTheLouderChannel(t *testing.T) {
	for louder := range 2 {
		h := newHiss(44100, 32)
		var cells [2][]cell
		for c := range cells {
			e := float32(16 * pairGain * 1e-6) // 16 differences of -60 dB
			if c == louder {
				e *= 100
			}
			for range h.perMoment {
				cells[c] = append(cells[c], cell{energy: e, most: 1e-3})
			}
		}
		h.write(cells[0], cells[1])
		if len(h.moments) != 1 || math.Abs(float64(h.moments[0].level)+40) > 1e-3 {
			t.Errorf("channel %d louder: %+v, want -40 dB", louder, h.moments)
		}
	}
}

// Rumble is as even as noise in so few bins is, and does not follow the bass.
func TestSteadyLow(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 7))
	for _, c := range []struct {
		name         string
		spread, tied float64 // dB
		want         bool
	}{{"steady", 1.5, 0, true}, {"uneven", 6, 0, false}, {"follows the bass", 0, 1.5, false}} {
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
