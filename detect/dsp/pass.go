package dsp

import "math"

// Pass is a low-pass or high-pass of the fourth order, 6 dB down at its corner: two equal
// Butterworth sections (S. H. Linkwitz, "Active Crossover Networks for Noncoincident Drivers",
// JAES 24(1), 1976), each by the bilinear transform:
//
//	K = tan(pi f/fs)   n = 1 + sqrt(2) K + K^2
//	low: b = K^2 [1, 2, 1]/n   high: b = [1, -2, 1]/n
//	a = [1, 2 (K^2 - 1)/n, (1 - sqrt(2) K + K^2)/n]
//
// Low and high of one corner add up to an all-pass: nothing is lost between two bands.
type Pass struct {
	b0, b1, a1, a2 float64
	state          [2][2]float64 // transposed direct form II, of each section
}

// NewPass makes one for a corner and a rate in hertz.
func NewPass(hz, rate float64, high bool) *Pass {
	k := math.Tan(math.Pi * hz / rate)
	n := 1 + math.Sqrt2*k + k*k
	p := &Pass{b0: k * k / n, b1: 2 * k * k / n, a1: 2 * (k*k - 1) / n, a2: (1 - math.Sqrt2*k + k*k) / n}
	if high {
		p.b0, p.b1 = 1/n, -2/n
	}
	return p
}

// Run filters x in place; the state is kept, so that blocks join.
func (p *Pass) Run(x []float32) {
	for i, v := range x {
		y := float64(v)
		for s := range p.state {
			in, z := y, &p.state[s]
			y = p.b0*in + z[0]
			z[0] = p.b1*in - p.a1*y + z[1]
			z[1] = p.b0*in - p.a2*y
		}
		x[i] = float32(y)
	}
}
