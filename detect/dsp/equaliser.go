package dsp

import "math"

// Equaliser is a filter of the second order, by the Audio EQ Cookbook (R. Bristow-Johnson; W3C
// note of 2021): a shelf or a bell, its analogue prototype by the bilinear transform. It holds
// the state of one channel.
type Equaliser struct {
	b0, b1, b2, a1, a2 float64
	z1, z2             float64 // transposed direct form II
}

// A is the cookbook's measure of a gain in dB.
//
//	A = 10^(dB/40)
func cookbookA(dB float64) float64 { return math.Pow(10, dB/40) }

// NewShelf makes a low or a high shelf of slope 1, half its gain in dB at a corner in hertz.
//
//	alpha = sin(w) / sqrt(2),  w = 2 pi f / fs
func NewShelf(hz, dB, rate float64, high bool) *Equaliser {
	a := cookbookA(dB)
	sin, cos := math.Sincos(2 * math.Pi * hz / rate)
	k := 2 * math.Sqrt(a) * sin / math.Sqrt2
	s := 1.0 // the sign that makes the one shelf of the other
	if high {
		s = -1
	}
	return newEqualiser(
		a*((a+1)-s*(a-1)*cos+k), s*2*a*((a-1)-s*(a+1)*cos), a*((a+1)-s*(a-1)*cos-k),
		(a+1)+s*(a-1)*cos+k, -s*2*((a-1)+s*(a+1)*cos), (a+1)+s*(a-1)*cos-k)
}

// NewBell makes a peak or a dip about a frequency in hertz.
//
//	alpha = sin(w) / 2Q
func NewBell(hz, dB, q, rate float64) *Equaliser {
	a := cookbookA(dB)
	sin, cos := math.Sincos(2 * math.Pi * hz / rate)
	alpha := sin / (2 * q)
	return newEqualiser(1+alpha*a, -2*cos, 1-alpha*a, 1+alpha/a, -2*cos, 1-alpha/a)
}

func newEqualiser(b0, b1, b2, a0, a1, a2 float64) *Equaliser {
	return &Equaliser{b0: b0 / a0, b1: b1 / a0, b2: b2 / a0, a1: a1 / a0, a2: a2 / a0}
}

// Run filters x in place; the state is kept, so that blocks join.
func (e *Equaliser) Run(x []float32) {
	for i, v := range x {
		in := float64(v)
		y := e.b0*in + e.z1
		e.z1 = e.b1*in - e.a1*y + e.z2
		e.z2 = e.b2*in - e.a2*y
		x[i] = float32(y)
	}
}
