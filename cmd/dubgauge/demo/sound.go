package demo

import (
	"math"
	"math/rand/v2"
)

// rate is the sample rate of everything that is rendered, in Hz.
const rate = 44100

// voice writes one sound into mono, from sample at on. Sounds past the end are
// cut.
type voice func(mono []float64, at int)

// each calls f with the time in seconds of every sample of a sound of the given
// length that fits.
func each(mono []float64, at int, seconds float64, f func(t float64) float64) {
	n := int(seconds * rate)
	for i := 0; i < n && at+i < len(mono); i++ {
		mono[at+i] += f(float64(i) / rate)
	}
}

// kick is a sine whose pitch falls to base Hz.
func kick(base float64) voice {
	return func(mono []float64, at int) {
		phase := 0.0
		each(mono, at, 0.32, func(t float64) float64 {
			phase += 2 * math.Pi * (base + 170*math.Exp(-t*38)) / rate
			return math.Sin(phase) * math.Exp(-t*9) * fade(t, 0.32)
		})
	}
}

// tick is the beater of a kick, the part of it that lies above the low end: a sine
// that falls from 3 kHz to 250 Hz.
func tick(mono []float64, at int) {
	phase := 0.0
	each(mono, at, 0.06, func(t float64) float64 {
		phase += 2 * math.Pi * (250 + 2750*math.Exp(-t*150)) / rate
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
	sound := make([]float64, int(seconds*rate))
	v(sound, 0)
	scale(sound, gain)
	return func(mono []float64, at int) {
		for i := 0; i < len(sound) && at+i < len(mono); i++ {
			mono[at+i] += sound[i]
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

// note is the frequency in Hz of a MIDI note number, A4 (69) being 440 Hz.
func note(n float64) float64 { return 440 * math.Pow(2, (n-69)/12) }

// biquad is a second-order section, direct form 1.
type biquad struct{ b0, b1, b2, a1, a2, x1, x2, y1, y2 float64 }

func (f *biquad) run(x []float64) {
	for i, v := range x {
		y := f.b0*v + f.b1*f.x1 + f.b2*f.x2 - f.a1*f.y1 - f.a2*f.y2
		f.x2, f.x1, f.y2, f.y1 = f.x1, v, f.y1, y
		x[i] = y
	}
}

// lowShelf is the shelf of the Audio EQ Cookbook (R. Bristow-Johnson; W3C note of
// 2021) with slope 1: gain dB below hz.
func lowShelf(hz, gain float64) *biquad {
	a := math.Pow(10, gain/40)
	sin, cos := math.Sincos(2 * math.Pi * hz / rate)
	k := 2 * math.Sqrt(a) * sin / 2 * math.Sqrt2
	a0 := (a + 1) + (a-1)*cos + k
	return &biquad{
		b0: a * ((a + 1) - (a-1)*cos + k) / a0, b1: 2 * a * ((a - 1) - (a+1)*cos) / a0,
		b2: a * ((a + 1) - (a-1)*cos - k) / a0,
		a1: -2 * ((a - 1) + (a+1)*cos) / a0, a2: ((a + 1) + (a-1)*cos - k) / a0,
	}
}

// pass is a Butterworth low-pass or high-pass of the same source.
func pass(hz float64, high bool) *biquad {
	sin, cos := math.Sincos(2 * math.Pi * hz / rate)
	alpha := sin / math.Sqrt2
	a0 := 1 + alpha
	b := (1 - cos) / 2
	b1 := 2 * b
	if high {
		b = (1 + cos) / 2
		b1 = -2 * b
	}
	return &biquad{b0: b / a0, b1: b1 / a0, b2: b / a0, a1: -2 * cos / a0, a2: (1 - alpha) / a0}
}

// filter runs x through the same filter four poles deep.
func filter(x []float64, hz float64, high bool) {
	pass(hz, high).run(x)
	pass(hz, high).run(x)
}

// level scales x so that its mean power is dB.
func level(x []float64, dB float64) {
	sum := 0.0
	for _, v := range x {
		sum += v * v
	}
	if sum == 0 {
		return
	}
	scale(x, math.Pow(10, dB/20)/math.Sqrt(sum/float64(len(x))))
}

func scale(x []float64, by float64) {
	for i := range x {
		x[i] *= by
	}
}

// limit keeps the samples of both channels within ceiling by one gain that looks
// ahead: the smallest gain that any sample within the window needs, smoothed
// over the window.
func limit(left, right []float64, ceiling float64) {
	const window = 220 // 5 ms
	need := make([]float64, len(left))
	for i := range left {
		need[i] = math.Min(1, ceiling/math.Max(math.Abs(left[i]), math.Abs(right[i])))
	}
	held := slidingMin(need, window)
	sum := 0.0
	for i := range left {
		sum += held[i]
		n := i + 1
		if i >= window {
			sum -= held[i-window]
			n = window
		}
		g := math.Min(sum/float64(n), need[i])
		left[i] *= g
		right[i] *= g
	}
}

// slidingMin gives, at i, the smallest of x[i] to x[i+ahead], by the queue of
// rising candidates.
func slidingMin(x []float64, ahead int) []float64 {
	out := make([]float64, len(x))
	var queue []int
	for i := len(x) - 1; i >= 0; i-- {
		for len(queue) > 0 && x[queue[len(queue)-1]] >= x[i] {
			queue = queue[:len(queue)-1]
		}
		queue = append(queue, i)
		if queue[0] > i+ahead {
			queue = queue[1:]
		}
		out[i] = x[queue[0]]
	}
	return out
}
