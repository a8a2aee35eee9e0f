package sound

import (
	"math"
	"math/cmplx"
)

// Biquad is a second-order section, direct form 1.
type Biquad struct{ b0, b1, b2, a1, a2, x1, x2, y1, y2 float64 }

// Run filters x in place; the state is kept, so that blocks join.
func (f *Biquad) Run(x []float64) {
	b0, b1, b2, a1, a2 := f.b0, f.b1, f.b2, f.a1, f.a2
	x1, x2, y1, y2 := f.x1, f.x2, f.y1, f.y2
	for i, v := range x {
		y := b0*v + b1*x1 + b2*x2 - a1*y1 - a2*y2
		x2, x1, y2, y1 = x1, v, y1, y
		x[i] = y
	}
	f.x1, f.x2, f.y1, f.y2 = x1, x2, y1, y2
}

// Power is the power gain at a frequency in hertz.
func (f *Biquad) Power(hz float64) float64 {
	z := cmplx.Exp(complex(0, -2*math.Pi*hz/Rate))
	at := func(c0, c1, c2 float64) complex128 {
		return complex(c0, 0) + complex(c1, 0)*z + complex(c2, 0)*z*z
	}
	h := cmplx.Abs(at(f.b0, f.b1, f.b2) / at(1, f.a1, f.a2))
	return h * h
}

// LowShelf is the shelf of the Audio EQ Cookbook (R. Bristow-Johnson; W3C note of
// 2021) with slope 1: gain dB below hz.
func LowShelf(hz, gain float64) *Biquad {
	a := math.Pow(10, gain/40)
	sin, cos := math.Sincos(2 * math.Pi * hz / Rate)
	k := 2 * math.Sqrt(a) * sin / 2 * math.Sqrt2
	a0 := (a + 1) + (a-1)*cos + k
	return &Biquad{
		b0: a * ((a + 1) - (a-1)*cos + k) / a0, b1: 2 * a * ((a - 1) - (a+1)*cos) / a0,
		b2: a * ((a + 1) - (a-1)*cos - k) / a0,
		a1: -2 * ((a - 1) + (a+1)*cos) / a0, a2: ((a + 1) + (a-1)*cos - k) / a0,
	}
}

// Pass is a Butterworth low-pass or high-pass of the same source.
func Pass(hz float64, high bool) *Biquad {
	sin, cos := math.Sincos(2 * math.Pi * hz / Rate)
	alpha := sin / math.Sqrt2
	a0 := 1 + alpha
	b := (1 - cos) / 2
	b1 := 2 * b
	if high {
		b = (1 + cos) / 2
		b1 = -2 * b
	}
	return &Biquad{b0: b / a0, b1: b1 / a0, b2: b / a0, a1: -2 * cos / a0, a2: (1 - alpha) / a0}
}

// Steep runs x through the same filter four poles deep.
func Steep(x []float64, hz float64, high bool) {
	Pass(hz, high).Run(x)
	Pass(hz, high).Run(x)
}

// HighShelf is the shelf of the same source with slope 1: gain dB above hz.
func HighShelf(hz, gain float64) *Biquad {
	a := math.Pow(10, gain/40)
	sin, cos := math.Sincos(2 * math.Pi * hz / Rate)
	k := 2 * math.Sqrt(a) * sin / 2 * math.Sqrt2
	a0 := (a + 1) - (a-1)*cos + k
	return &Biquad{
		b0: a * ((a + 1) + (a-1)*cos + k) / a0, b1: -2 * a * ((a - 1) + (a+1)*cos) / a0,
		b2: a * ((a + 1) + (a-1)*cos - k) / a0,
		a1: 2 * ((a - 1) - (a+1)*cos) / a0, a2: ((a + 1) - (a-1)*cos - k) / a0,
	}
}

// Bell is the peaking filter of the same source: gain dB at hz, of quality q.
func Bell(hz, gain, q float64) *Biquad {
	a := math.Pow(10, gain/40)
	sin, cos := math.Sincos(2 * math.Pi * hz / Rate)
	alpha := sin / (2 * q)
	a0 := 1 + alpha/a
	return &Biquad{
		b0: (1 + alpha*a) / a0, b1: -2 * cos / a0, b2: (1 - alpha*a) / a0,
		a1: -2 * cos / a0, a2: (1 - alpha/a) / a0,
	}
}

// Band is the band-pass of the same source with a gain of 1 at hz.
func Band(hz, q float64) *Biquad {
	sin, cos := math.Sincos(2 * math.Pi * hz / Rate)
	alpha := sin / (2 * q)
	a0 := 1 + alpha
	return &Biquad{b0: alpha / a0, b2: -alpha / a0, a1: -2 * cos / a0, a2: (1 - alpha) / a0}
}
