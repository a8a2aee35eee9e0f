package compare

import (
	"math"
	"sync"

	"dubgauge/detect/dsp"
)

const (
	// taps of the interpolation of one sample: with a Kaiser window of 90 dB its transition is
	// 0.09 of the rate wide, so that what lies below 0.45 of it is right to a thousandth.
	taps = 64
	// kaiserDB is the attenuation that its window is made for.
	kaiserDB = 90
	// phases of a sample are tabulated and interpolated linearly between.
	phases = 512
)

// sincTable holds windowed sincs for each phase.
var sincTable = sync.OnceValue(func() [][taps]float64 {
	t := make([][taps]float64, phases+1)
	beta := dsp.KaiserBeta(kaiserDB)
	for p := range t {
		shift := float64(p) / phases
		for k := range t[p] {
			x := float64(k-taps/2+1) - shift
			t[p][k] = dsp.Sinc(x) * dsp.Kaiser(x/(taps/2), beta)
		}
	}
	return t
})

// at is x at a place between its samples. Places nearer to an end than taps/2 are 0.
func at(x []float32, place float64) float64 {
	whole := math.Floor(place)
	i, rest := int(whole)-taps/2+1, (place-whole)*phases
	if i < 0 || i+taps > len(x) {
		return 0
	}
	if rest == 0 {
		return float64(x[int(whole)])
	}
	p := int(rest)
	f := rest - float64(p)
	t := sincTable()
	h0, h1 := &t[p], &t[p+1]
	sum := 0.0
	for k, v := range x[i : i+taps] {
		sum += float64(v) * (h0[k] + f*(h1[k]-h0[k]))
	}
	return sum
}

// beside is the part of B, at A's rate, that lies beside the window of A when B is offset
// by so many samples of A's rate; a slice a channel.
func (w *pair) beside(rateA, rateB int, offset float64) [][]float32 {
	step := float64(rateB) / float64(rateA)
	start := (float64(w.a.first)+offset)*step - float64(w.b.first)
	out := make([][]float32, len(w.b.x))
	for c, x := range w.b.x {
		out[c] = make([]float32, len(w.a.x[0]))
		for i := range out[c] {
			out[c][i] = float32(at(x, start+float64(i)*step))
		}
	}
	return out
}
