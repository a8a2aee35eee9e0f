package kick

import (
	"math"

	"dubgauge/detect/dsp/fourier"
)

// analytic is the part of a signal between two frequencies as a complex one, whose real
// part is that signal and whose magnitude is its envelope, at a rate that is up times as
// high; up is a power of two. The band's edges are half an octave wide.
//
//	y[n] = 1/N sum over k > 0 of 2 H[k] X[k] exp(2 pi i k n / (N up))
func analytic(x []float32, rate, from, to float64, up int) []complex64 {
	n := 1024
	for n < len(x) {
		n *= 2
	}
	z := make([]complex64, n)
	for i, v := range x {
		z[i] = complex(v, 0)
	}
	f := fourier.New(n)
	f.Do(z)
	place := f.Place()
	y := make([]complex64, n*up)
	for k := 1; k < n/2; k++ {
		g := float32(2*pass(float64(k)*rate/float64(n), from, to)) / float32(n)
		v := z[place[k]]
		y[k] = complex(g*real(v), -g*imag(v))
	}
	g := fourier.New(len(y))
	g.Do(y) // forward and conjugate both ways is backward
	place = g.Place()
	out := make([]complex64, len(x)*up)
	for i := range out {
		v := y[place[i]]
		out[i] = complex(real(v), -imag(v))
	}
	return out
}

// edge of a band, in octaves.
const edge = 0.5

// pass is 1 in a band, 0 outside of it and a raised cosine over its edges.
func pass(hz, from, to float64) float64 {
	rise := func(octaves float64) float64 {
		s := math.Sin(math.Pi / 2 * min(1, max(0, 0.5+octaves/edge)))
		return s * s
	}
	return rise(math.Log2(hz/from)) * rise(math.Log2(to/hz))
}

func power(z complex64) float64 {
	re, im := float64(real(z)), float64(imag(z))
	return (re*re + im*im) / 2
}
