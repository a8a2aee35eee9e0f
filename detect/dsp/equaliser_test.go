package dsp

import (
	"math"
	"testing"
)

// steady is the gain of a filter in dB for a sine of hz once it has settled.
func steady(e *Equaliser, hz, rate float64) float64 {
	n := int(rate)
	x := make([]float32, n)
	for i := range x {
		x[i] = float32(math.Sin(2 * math.Pi * hz * float64(i) / rate))
	}
	for from := 0; from < n; from += 1000 { // blocks join
		e.Run(x[from:min(n, from+1000)])
	}
	var sin, cos float64
	half := x[n/2:]
	for i, v := range half {
		s, c := math.Sincos(2 * math.Pi * hz * float64(i) / rate)
		sin, cos = sin+float64(v)*s, cos+float64(v)*c
	}
	return 20 * math.Log10(2*math.Hypot(sin, cos)/float64(len(half)))
}

// The cookbook says what its filters do at their own frequency and far from it: a shelf half
// its gain in dB at the corner, all of it on its side and nothing on the other; a bell all of
// it in its middle, half of it where the warped ratio x has |x - 1/x| = 1/Q.
func TestEqualiser(t *testing.T) {
	const rate = 48000
	x := 1/(2*2.0) + math.Sqrt(1/(4*4.0)+1) // of Q 2
	edge := rate / math.Pi * math.Atan(x*math.Tan(math.Pi*1000/rate))
	for _, c := range []struct {
		name     string
		make     func() *Equaliser
		hz, want float64
	}{
		{"low shelf, corner", func() *Equaliser { return NewShelf(100, 6, rate, false) }, 100, 3},
		{"low shelf, below", func() *Equaliser { return NewShelf(1000, -8, rate, false) }, 50, -8},
		{"low shelf, above", func() *Equaliser { return NewShelf(100, 6, rate, false) }, 6000, 0},
		{"high shelf, corner", func() *Equaliser { return NewShelf(8000, -4, rate, true) }, 8000, -2},
		{"high shelf, above", func() *Equaliser { return NewShelf(1000, 5, rate, true) }, 20000, 5},
		{"high shelf, below", func() *Equaliser { return NewShelf(8000, -4, rate, true) }, 200, 0},
		{"bell, middle", func() *Equaliser { return NewBell(3000, -5, 1.4, rate) }, 3000, -5},
		{"bell, edge", func() *Equaliser { return NewBell(1000, 6, 2, rate) }, edge, 3},
		{"bell, far", func() *Equaliser { return NewBell(1000, 6, 2, rate) }, 20, 0},
	} {
		if got := steady(c.make(), c.hz, rate); math.Abs(got-c.want) > 0.03 {
			t.Errorf("%s: %.3f dB, want %g", c.name, got, c.want)
		}
	}
}
