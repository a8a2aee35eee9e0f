package studio

import (
	"math"

	"dubgauge/cmd/dubgauge/sound"
)

// tableSize is the length of a wave table; linear interpolation then errs by
// less than -80 dB for the harmonics used here.
const tableSize = 4096

// wave is one period of a sound, with the first sample again at the end.
type wave [tableSize + 1]float64

// newWave adds up sine harmonics of the given weights.
func newWave(weights []float64) *wave {
	w := new(wave)
	for i := range w {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / tableSize)
		v, last := 0.0, 0.0
		for _, h := range weights {
			v += h * sin
			sin, last = 2*cos*sin-last, sin
		}
		w[i] = v
	}
	return w
}

// sawWave is a saw at hz through a low-pass of two poles at cut.
func sawWave(hz, cut float64) *wave {
	return harmonics(hz, cut, func(h int) float64 { return 1 / float64(h) })
}

// squareWave has the odd harmonics only.
func squareWave(hz, cut float64) *wave {
	return harmonics(hz, cut, func(h int) float64 { return float64(h%2) / float64(h) })
}

func harmonics(hz, cut float64, amplitude func(h int) float64) *wave {
	n := max(1, min(60, int(14000/hz)))
	weights := make([]float64, n)
	for h := 1; h <= n; h++ {
		x := float64(h) * hz / cut
		weights[h-1] = amplitude(h) / math.Sqrt(1+x*x*x*x)
	}
	return newWave(weights)
}

// oscillator reads a wave.
type oscillator struct {
	wave  *wave
	phase float64 // periods
}

// next gives one sample at hz.
func (o *oscillator) next(hz float64) float64 {
	x := o.phase * tableSize
	i := int(x)
	v := o.wave[i] + (x-float64(i))*(o.wave[i+1]-o.wave[i])
	o.phase += hz / sound.Rate
	if o.phase >= 1 {
		o.phase--
	}
	return v
}

// clip is a piece of mono sound.
type clip []float64

func newClip(seconds float64) clip { return make(clip, max(1, int(seconds*sound.Rate))) }

// into adds the clip to dst from sample at on, cut at the end of dst.
func (c clip) into(dst []float64, at int, gain float64) {
	if at < 0 || at >= len(dst) {
		return
	}
	sound.Mix(dst[at:], c, gain)
}

// ends fades the first and last milliseconds, so that a clip does not click.
func (c clip) ends(in, out float64) clip {
	a, b := int(in*sound.Rate), int(out*sound.Rate)
	for i := range c {
		if i < a {
			c[i] *= float64(i) / float64(a)
		}
		if left := len(c) - i; left < b {
			c[i] *= float64(left) / float64(b)
		}
	}
	return c
}

// decay multiplies by a falling exponential, seconds to 1/e, and starts quickly.
func (c clip) decay(seconds float64) clip {
	g, by := 1.0, math.Exp(-1/(seconds*sound.Rate))
	for i := range c {
		c[i] *= g
		g *= by
	}
	return c
}

func (c clip) filter(f *sound.Biquad) clip { f.Run(c); return c }

// peak scales to the given largest value.
func (c clip) peak(to float64) clip {
	high := 1e-12
	for _, v := range c {
		high = math.Max(high, math.Abs(v))
	}
	sound.Scale(c, to/high)
	return c
}
