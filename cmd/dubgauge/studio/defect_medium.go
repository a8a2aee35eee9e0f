package studio

import (
	"fmt"
	"math"
	"math/rand/v2"

	"dubgauge/cmd/dubgauge/sound"
)

// mediumDefects are what a medium or a cable adds.
func mediumDefects() []Defect {
	var out []Defect
	add := func(name string, f func(a sound.Audio, r *rand.Rand)) {
		out = append(out, Defect{Name: name, Group: TimeGroup, Master: func(a sound.Audio, w Where) sound.Audio {
			f(a, source(name, w.Seed, "defect"))
			return a
		}})
	}
	add("vinyl clicks", vinylClicks)
	for _, hz := range []float64{50, 60} {
		for _, dB := range []float64{-45, -55} {
			add(fmt.Sprintf("hum %g Hz %g dBFS", hz, dB), func(a sound.Audio, _ *rand.Rand) { hum(a, hz, dB) })
		}
	}
	add("rumble -35 dBFS", func(a sound.Audio, r *rand.Rand) {
		addNoise(a, r, -35, func() *sound.Biquad { return sound.Pass(25, false) })
	})
	add("hiss -55 dBFS", func(a sound.Audio, r *rand.Rand) { addNoise(a, r, -55, nil) })
	add("hiss -65 dBFS", func(a sound.Audio, r *rand.Rand) { addNoise(a, r, -65, nil) })
	for _, percent := range []float64{0.2, 0.5, 1} {
		add(fmt.Sprintf("wow %g %%", percent), func(a sound.Audio, _ *rand.Rand) {
			a.Both(func(x []float64) { wow(x, percent) })
		})
	}
	for _, percent := range []float64{0.3, 1} {
		add(fmt.Sprintf("DC %g %%", percent), func(a sound.Audio, _ *rand.Rand) {
			a.Both(func(x []float64) {
				for i := range x {
					x[i] += percent / 100
				}
			})
		})
	}
	return out
}

// vinylClicks strews 20 to 200 clicks a minute: a step of 0.05 to 0.4 of full
// scale that rings at 1 to 6 kHz and dies within 0.2 to 2 ms, mostly in one
// channel more than in the other, as scratches and dust do.
func vinylClicks(a sound.Audio, r *rand.Rand) {
	perMinute := 20 * math.Pow(10, r.Float64())
	n := int(perMinute * float64(a.Len()) / sound.Rate / 60)
	for range n {
		click := clickShape(r)
		at, pan := r.IntN(a.Len()), between(r, -1, 1)
		level := between(r, 0.05, 0.4)
		click.into(a.L, at, level*math.Min(1, 1-pan))
		click.into(a.R, at, level*math.Min(1, 1+pan))
	}
	a.Both(keepIn)
}

func clickShape(r *rand.Rand) clip {
	tail := between(r, 0.0002, 0.002) / 3
	hz := 1000 * math.Pow(6, r.Float64())
	c := newClip(6 * tail)
	sign := float64(1 - 2*r.IntN(2))
	for i := range c {
		t := float64(i) / sound.Rate
		c[i] = sign * math.Cos(2*math.Pi*hz*t) * math.Exp(-t/tail)
	}
	return c
}

// keepIn cuts what passes full scale, as a converter does.
func keepIn(x []float64) {
	for i, v := range x {
		x[i] = math.Max(-1, math.Min(1, v))
	}
}

// hum adds the mains with harmonics 2 to 5, of a mean power of dB in each channel.
func hum(a sound.Audio, hz, dB float64) {
	c := make(clip, a.Len())
	w := newWave([]float64{1, 0.5, 0.6, 0.25, 0.3})
	o := oscillator{wave: w}
	for i := range c {
		c[i] = o.next(hz)
	}
	sound.Level(c, dB)
	a.Both(func(x []float64) { sound.Mix(x, c, 1) })
}

// addNoise adds filtered noise of a mean power of dB in each channel.
func addNoise(a sound.Audio, r *rand.Rand, dB float64, design func() *sound.Biquad) {
	a.Both(func(x []float64) {
		c := noise(r, float64(len(x))/sound.Rate)
		if design != nil {
			c.filter(design()).filter(design())
		}
		sound.Level(c, dB)
		sound.Mix(x, c, 1)
	})
}

// wowHz is one turn of a record at 33 1/3 a minute.
const wowHz = 100.0 / 3 / 60

// wow moves the speed by so many percent either way, once a turn. It reads x
// between samples by cubic interpolation.
func wow(x []float64, percent float64) {
	src := append([]float64(nil), x...)
	depth := percent / 100 * sound.Rate / (2 * math.Pi * wowHz)
	for i := range x {
		at := float64(i) + depth*(1-math.Cos(2*math.Pi*wowHz*float64(i)/sound.Rate))
		k := int(at)
		if k < 1 || k+2 >= len(src) {
			continue
		}
		x[i] = cubic(src[k-1:k+3], at-float64(k))
	}
}

// cubic is the interpolation of E. Catmull and R. Rom between p[1] and p[2].
func cubic(p []float64, t float64) float64 {
	return p[1] + t/2*(p[2]-p[0]+t*(2*p[0]-5*p[1]+4*p[2]-p[3]+t*(3*(p[1]-p[2])+p[3]-p[0])))
}
