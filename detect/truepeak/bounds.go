package truepeak

import (
	"math"
	"slices"
	"sync"
)

// bounds are what lets most of a track be passed over. All hold for any
// signal whatever, as they follow from the taps h alone.
//
//	|y| <= sum |h| max|x|
//	|y - x[i]| <= sum |S| max|x[j+1]-x[j]|,  S being the running sums of h
//	          less 1 at sample i
//
// The second holds for any guess made of samples: less the guess's taps
// instead of the 1. Bass moves little from sample to sample, so the second is
// the one that passes over loud music.
type bounds struct {
	norm  float32    // sum |h|, of the worst phase
	ends  difference // off the nearer of the two samples around
	guess difference // off the parabola through those two and a guess half way
	half  difference // off the parabola through those two and the value half way
	inner [innerTaps]float32
}

// difference is sum |S|, of the worst phase, over the steps near by and over
// those farther away.
type difference struct{ near, far float32 }

// times is the bound for given largest steps.
func (d difference) times(near, far float32) float32 { return d.near*near + d.far*far }

// innerTaps are the taps on each side from which the value half way between
// two samples is guessed.
const innerTaps = 4

// phases is how many phases between two samples the bounds are taken over.
const phases = 64

var newBounds = sync.OnceValue(func() *bounds {
	b := &bounds{}
	half, inner := taps(0.5), guessTaps()
	for j := range b.inner {
		b.inner[j] = float32(inner[innerTaps+j])
	}
	for p := range phases + 1 {
		u := float64(p) / phases
		h := taps(u)
		sum := 0.0
		for _, v := range h {
			sum += math.Abs(v)
		}
		b.norm = max(b.norm, float32(sum))
		b.ends.widen(less(h, nearer(u)))
		b.guess.widen(less(h, parabola(u, inner)))
		b.half.widen(less(h, parabola(u, half)))
	}
	return b
})

// guessTaps are the middle taps of the half-way phase, scaled to a sum of 1.
func guessTaps() []float64 {
	g := taps(0.5)[halfTaps-innerTaps : halfTaps+innerTaps]
	sum := 0.0
	for _, v := range g {
		sum += v
	}
	for j := range g {
		g[j] /= sum
	}
	return g
}

// nearer stands for the sample nearer to u: weights of x[i] and x[i+1].
func nearer(u float64) []float64 {
	w := make([]float64, 2)
	w[int(u+0.5)] = 1
	return w
}

// parabola stands for the one through x[i], g half way and x[i+1], g being
// made of the middle samples by the weights given.
//
//	2 (u - 1/2)(u - 1) x[i] + 4 u (1 - u) g + 2 u (u - 1/2) x[i+1]
func parabola(u float64, g []float64) []float64 {
	w := make([]float64, len(g))
	for j, v := range g {
		w[j] = 4 * u * (1 - u) * v
	}
	w[len(w)/2-1] += 2 * (u - 0.5) * (u - 1)
	w[len(w)/2] += 2 * u * (u - 0.5)
	return w
}

// less takes the middle weights w off the taps h.
func less(h, w []float64) []float64 {
	h = slices.Clone(h)
	for j, v := range w {
		h[halfTaps-len(w)/2+j] -= v
	}
	return h
}

// widen makes d hold for the taps h, which sum to 0, as well. Near is a span
// on each side.
func (d *difference) widen(h []float64) {
	sum, near, far := 0.0, 0.0, 0.0
	for j, v := range h[:len(h)-1] {
		sum += v
		if offset := j - (halfTaps - 1); offset >= -span && offset < span {
			near += math.Abs(sum)
		} else {
			far += math.Abs(sum)
		}
	}
	d.near, d.far = max(d.near, float32(near)), max(d.far, float32(far))
}
