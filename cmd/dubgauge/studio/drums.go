package studio

import (
	"math"
	"math/rand/v2"

	"dubgauge/cmd/dubgauge/sound"
)

// kit is the drums of a song. Hats come in several takes, so that no two bars
// are copies of each other.
type kit struct {
	kick        clip
	snare       []clip
	hat         []clip
	open, ride  clip
	perc        []clip
	crash, rise clip
}

func (s *Song) newKit() *kit {
	r := source(s.Genre.Name, s.Seed, "kit")
	k := &kit{kick: s.newKick()}
	k.snare = takes(2, snare(r))
	k.hat = takes(3, hat(r, between(r, 0.012, 0.05)))
	k.open = hat(r, between(r, 0.07, 0.2))()
	k.ride = hat(r, between(r, 0.15, 0.3))()
	k.perc = percussion(r)
	k.crash = noise(r, 2.2).filter(sound.Pass(3500, true)).decay(0.55).peak(1)
	k.rise = s.riser(r)
	return k
}

// takes renders a sound several times.
func takes(n int, render func() clip) []clip {
	out := make([]clip, n)
	for i := range out {
		out[i] = render()
	}
	return out
}

// noise is white.
func noise(r *rand.Rand, seconds float64) clip {
	c := newClip(seconds)
	for i := range c {
		c[i] = 2*r.Float64() - 1
	}
	return c
}

// newKick is a sine whose pitch falls, and a click.
func (s *Song) newKick() clip {
	c := newClip(math.Min(0.6, 4.5*s.kickTail))
	phase := 0.0
	for i := range c {
		t := float64(i) / sound.Rate
		phase += (s.kickHz + s.kickBend*math.Exp(-t*36) + 1400*s.kickClick*math.Exp(-t*260)) / sound.Rate
		c[i] = math.Sin(2 * math.Pi * phase)
	}
	c.decay(s.kickTail)
	beater := noise(source(s.Genre.Name, s.Seed, "beater"), 0.012).filter(sound.Pass(2200, true)).decay(0.003)
	beater.into(c, 0, 0.35*s.kickClick)
	return c.ends(0.0004, 0.02).peak(1)
}

// snare is a body of two tones under noise, or a clap of several bursts.
func snare(r *rand.Rand) func() clip {
	body, bright := between(r, 160, 240), between(r, 900, 2600)
	tail, clap, tone := between(r, 0.05, 0.13), r.Float64() < 0.5, between(r, 0.2, 0.9)
	return func() clip {
		c := noise(r, 0.45).filter(sound.Band(bright, 0.6)).decay(tail).peak(1)
		if clap {
			for _, at := range []float64{0.011, 0.023} {
				noise(r, 0.03).filter(sound.Band(bright, 0.8)).decay(0.007).peak(0.8).into(c, int(at*sound.Rate), 1)
			}
			return c.ends(0.0005, 0.02).peak(1)
		}
		drum := newClip(0.25)
		for i := range drum {
			t := float64(i) / sound.Rate
			drum[i] = math.Sin(2*math.Pi*body*t+3*math.Exp(-t*60)) + 0.5*math.Sin(2*math.Pi*body*1.61*t)
		}
		drum.decay(0.06).into(c, 0, tone)
		return c.ends(0.0005, 0.02).peak(1)
	}
}

// hat is noise above some frequency with a few inharmonic tones in it.
func hat(r *rand.Rand, tail float64) func() clip {
	cut, metal := between(r, 5000, 9500), between(r, 0, 0.5)
	pitch := between(r, 3800, 6200)
	return func() clip {
		c := noise(r, math.Min(0.8, 5*tail))
		for i := range c {
			t := float64(i) / sound.Rate * pitch
			c[i] += metal * (sgn(t) + sgn(t*1.342) + sgn(t*1.673))
		}
		return c.filter(sound.Pass(cut, true)).decay(tail).ends(0.0003, 0.005).peak(1)
	}
}

// sgn is a square wave of period 1.
func sgn(t float64) float64 {
	if t-math.Floor(t) < 0.5 {
		return 1
	}
	return -1
}

// percussion is a rim, a tom or a shaker each.
func percussion(r *rand.Rand) []clip {
	var out []clip
	for range 3 {
		hz, tail := 180*math.Pow(9, r.Float64()), between(r, 0.015, 0.09)
		c := newClip(6 * tail)
		for i := range c {
			t := float64(i) / sound.Rate
			c[i] = math.Sin(2 * math.Pi * hz * t * (1 + 0.3*math.Exp(-t*50)))
		}
		noise(r, 6*tail).filter(sound.Band(2*hz, 0.7)).into(c, 0, between(r, 0, 1))
		out = append(out, c.decay(tail).ends(0.0005, 0.004).peak(1))
	}
	return out
}

// riser is noise that swells and rises for four bars.
func (s *Song) riser(r *rand.Rand) clip {
	c := noise(r, 4*s.barSeconds())
	sweep(c, 600, 9000, true)
	for i := range c {
		x := float64(i) / float64(len(c))
		c[i] *= x * x
	}
	return c.ends(0.01, 0.01).peak(1)
}
