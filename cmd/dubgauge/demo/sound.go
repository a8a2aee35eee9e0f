package demo

import (
	"math"
	"math/rand/v2"

	"dubgauge/cmd/dubgauge/sound"
)

// voice writes one sound into mono, from sample at on. Sounds past the end are
// cut.
type voice func(mono []float64, at int)

// each calls f with the time in seconds of every sample of a sound of the given
// length that fits.
func each(mono []float64, at int, seconds float64, f func(t float64) float64) {
	n := int(seconds * sound.Rate)
	for i := 0; i < n && at+i < len(mono); i++ {
		mono[at+i] += f(float64(i) / sound.Rate)
	}
}

// kick is a sine whose pitch falls to base Hz.
func kick(base float64) voice {
	return func(mono []float64, at int) {
		phase := 0.0
		each(mono, at, 0.32, func(t float64) float64 {
			phase += 2 * math.Pi * (base + 170*math.Exp(-t*38)) / sound.Rate
			return math.Sin(phase) * math.Exp(-t*9) * fade(t, 0.32)
		})
	}
}

// tick is the beater of a kick, the part of it that lies above the low end: a sine
// that falls from 3 kHz to 250 Hz.
func tick(mono []float64, at int) {
	phase := 0.0
	each(mono, at, 0.06, func(t float64) float64 {
		phase += 2 * math.Pi * (250 + 2750*math.Exp(-t*150)) / sound.Rate
		return 2.5 * math.Sin(phase) * math.Exp(-t*60) * math.Min(1, t/0.0005)
	})
}

// tone is a sum of harmonics of a note, each 1/h^tilt as strong, that decays. The
// harmonics come from sin(h x) = 2 cos(x) sin((h-1) x) - sin((h-2) x).
func tone(hz, seconds, decay, tilt float64, harmonics int) voice {
	harmonics = min(harmonics, int(16000/hz))
	weight := make([]float64, harmonics)
	for h := range weight {
		weight[h] = math.Pow(float64(h+1), -tilt)
	}
	return func(mono []float64, at int) {
		each(mono, at, seconds, func(t float64) float64 {
			sin, cos := math.Sincos(2 * math.Pi * hz * t)
			v, last := 0.0, 0.0
			for _, w := range weight {
				v += w * sin
				sin, last = 2*cos*sin-last, sin
			}
			return v * math.Exp(-t*decay) * fade(t, seconds)
		})
	}
}

// once renders a sound of the given length the first time, scales it by gain, and
// copies it from then on.
func once(seconds, gain float64, v voice) voice {
	clip := make([]float64, int(seconds*sound.Rate))
	v(clip, 0)
	sound.Scale(clip, gain)
	return func(mono []float64, at int) {
		for i := 0; i < len(clip) && at+i < len(mono); i++ {
			mono[at+i] += clip[i]
		}
	}
}

// noise is a burst of noise of a peak level, made brighter by differencing it once or twice.
func noise(r *rand.Rand, level, seconds, decay float64, differences int) voice {
	return func(mono []float64, at int) {
		var last [3]float64
		each(mono, at, seconds, func(t float64) float64 {
			v := level * (r.Float64()*2 - 1)
			for d := range differences {
				v, last[d] = v-last[d], v
			}
			return v * math.Exp(-t*decay) * fade(t, seconds)
		})
	}
}

// fade opens and closes a sound within 3 ms, so that it does not click.
func fade(t, seconds float64) float64 {
	const ramp = 0.003
	return math.Min(1, math.Min(t, seconds-t)/ramp)
}
