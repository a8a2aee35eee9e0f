package kick

import (
	"math"

	"dubgauge/detect/dsp/fourier"
)

// analytic is the part of a signal between two frequencies; see band.
func analytic(x []float32, rate, from, to float64, up int) []complex64 {
	return transformed(x, rate).band(from, to, up)
}

// transform is the spectrum of a signal, of which several bands can be had.
type transform struct {
	z    []complex64
	f    *fourier.Transform
	rate float64
	n    int // samples of the signal
}

func transformed(x []float32, rate float64) *transform {
	n := 1024
	for n < len(x) {
		n *= 2
	}
	t := &transform{make([]complex64, n), fourier.New(n), rate, len(x)}
	for i, v := range x {
		t.z[i] = complex(v, 0)
	}
	t.f.Do(t.z)
	return t
}

// band is the part of a signal between two frequencies as a complex one, whose real
// part is that signal and whose magnitude is its envelope, at a rate that is up times as
// high; up is a power of two. The band's edges are half an octave wide.
//
//	y[n] = 1/N sum over k > 0 of 2 H[k] X[k] exp(2 pi i k n / (N up))
func (t *transform) band(from, to float64, up int) []complex64 {
	n := len(t.z)
	place := t.f.Place()
	y := make([]complex64, n*up)
	for k := 1; k < n/2; k++ {
		h := pass(float64(k)*t.rate/float64(n), from, to)
		if h == 0 {
			continue
		}
		g, v := float32(2*h)/float32(n), t.z[place[k]]
		y[k] = complex(g*real(v), -g*imag(v))
	}
	g := t.f
	if up > 1 {
		g = fourier.New(len(y))
	}
	g.Do(y) // forward and conjugate both ways is backward
	place = g.Place()
	out := make([]complex64, t.n*up)
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
