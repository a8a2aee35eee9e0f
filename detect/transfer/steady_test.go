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
		if h.moments.Len() != 1 || math.Abs(float64(h.moments.At(0).level)+40) > 1e-3 {
			t.Errorf("channel %d louder: %+v, want -40 dB", louder, *h.moments.At(0))
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

// A floor of so many of the eight parts of a track, over which music lies in the others;
// expected by the constants' own words.
func TestHissIsInSeveralParts(t *testing.T) {
	const music, silent = -30.0, -100.0
	rng := rand.New(rand.NewPCG(2, 9))
	// A track of 40 s, level in the louder channel and in the difference, with noise of 0.4 dB.
	track := func(parts int, level, side, spread float64, crest float32) *hiss {
		h := newHiss(44100, 32)
		const each = 250
		for p := range hissParts {
			for i := range each {
				m := moment{level: float32(music + 2.2*rng.NormFloat64()), side: float32(music + 2.2*rng.NormFloat64()), crest: crest}
				if p%2 == 0 && p/2 < parts && i >= 95 && i < 155 { // the ends of the track don't count
					if level != music {
						m.level = float32(level + spread*rng.NormFloat64())
					}
					m.side = float32(side + spread*rng.NormFloat64())
				}
				h.moments.Append(m)
			}
		}
		return &h
	}
	for _, c := range []struct {
		name string
		h    *hiss
		want float64 // dBFS, 0 for none
	}{
		{"in three", track(3, -50, -50, 0.4, 3.3), -50},
		{"in two", track(2, -50, -50, 0.4, 3.3), 0},
		{"in the difference alone", track(4, music, -55, 0.4, 3.3), -55},
		{"in the difference, and two parts", track(2, music, -55, 0.4, 3.3), 0},
		{"pulses", track(4, -50, silent, 0.4, 5), 0},
		{"a tone", track(4, -50, silent, 0.4, 1.5), 0},
		{"a tail", track(4, -50, silent, 2.5, 3.3), 0},
		{"an instrument of noise, softer in the difference", track(4, -36, -48, 0.2, 3.3), 0},
		{"loud", track(4, -39, -39, 0.2, 3.3), 0},
		{"too faint", track(4, -69, -69, 0.2, 3.3), 0},
		{"two channels that are one", track(4, -50, hissSilent, 0.4, 3.3), -50},
	} {
		got, at := c.h.floor()
		if math.IsNaN(got) != (c.want == 0) || c.want != 0 && (math.Abs(got-c.want) > 1.2 || min(c.h.moments.At(at).level, c.h.moments.At(at).side) > float32(c.want)) {
			t.Errorf("%s: %.1f dBFS at %d, want %.0f", c.name, got, at, c.want)
		}
	}
}

// Noise that the channels don't share is as loud in their difference as in each, what they
// share is not in it; expected by adding up powers.
func TestHissOfTheDifference(t *testing.T) {
	for _, c := range []struct{ cross, want float64 }{{0, -60}, {0.5, -63}, {-0.5, -58.2}} {
		h := newHiss(44100, 32)
		e := float32(16 * pairGain * 1e-6)
		one := []cell{{energy: e, most: e, cross: float32(c.cross) * e}}
		for range h.perMoment {
			h.write(one, one)
		}
		if h.moments.Len() != 1 || math.Abs(float64(h.moments.At(0).side)-c.want) > 0.1 {
			t.Errorf("%g in common: %+v, want %g", c.cross, *h.moments.At(0), c.want)
		}
	}
}
