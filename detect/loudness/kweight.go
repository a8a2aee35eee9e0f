package loudness

import (
	"math"
	"math/cmplx"
)

// Analogue prototypes of the two stages of K-weighting. BS.1770-5 gives the
// digital coefficients at 48 kHz only (annex 1, tables 1 and 2) and asks for
// the same frequency response at other rates; these parameters, put through
// the bilinear transform at 48 kHz, give both tables to 1e-13, which a test
// checks.
const (
	shelfHz        = 1681.974450955533
	shelfDB        = 3.999843853973347
	shelfQ         = 0.7071752369554196
	shelfBandPower = 0.4996667741545416 // exponent that gives the gain at shelfHz from the shelf's gain
	highPassHz     = 38.13547087602444
	highPassQ      = 0.5003270373238773

	tableRate = 48000.0 // hertz, of the tables of BS.1770-5
)

// biquad holds the coefficients of a second-order section, a0 being 1:
//
//	y[n] = b0 x[n] + b1 x[n-1] + b2 x[n-2] - a1 y[n-1] - a2 y[n-2]
type biquad struct{ b0, b1, b2, a1, a2 float64 }

// kWeighting returns both stages for a rate in hertz. The numerator of the
// high-pass is 1, -2, 1 as in table 2, with its gain moved to the shelf.
//
// Table 2 leaves the high-pass with a gain a little above 1 (0.0432 dB at
// 48 kHz). Keeping 1, -2, 1 at other rates as well would change that gain with
// the rate: +0.004 dB at 44.1 kHz, -0.022 at 96 kHz, -0.032 at 192 kHz. That
// lies within the 0.1 LU of the standard's tests but is not the same
// frequency response, so it is corrected here.
func kWeighting(rate float64) (shelf, highPass biquad) {
	shelf, highPass = shelfAt(rate), highPassAt(rate)
	if rate < matchBelow {
		shelf = matchedShelf(rate)
	}
	g := highPassGain(highPassAt(tableRate)) / highPassGain(highPass)
	shelf.b0 *= g
	shelf.b1 *= g
	shelf.b2 *= g
	return shelf, highPass
}

// shelfAt is stage 1: the effect of the head.
//
//	K = tan(pi f0/fs)  Vh = 10^(G/20)  Vb = Vh^0.4997  a0 = 1 + K/Q + K^2
//	b = [Vh + Vb K/Q + K^2, 2 (K^2 - Vh), Vh - Vb K/Q + K^2] / a0
//	a = [1, 2 (K^2 - 1)/a0, (1 - K/Q + K^2)/a0]
func shelfAt(rate float64) biquad {
	k := math.Tan(math.Pi * shelfHz / rate)
	vh := math.Pow(10, shelfDB/20)
	vb := math.Pow(vh, shelfBandPower)
	a0 := 1 + k/shelfQ + k*k
	return biquad{
		b0: (vh + vb*k/shelfQ + k*k) / a0,
		b1: 2 * (k*k - vh) / a0,
		b2: (vh - vb*k/shelfQ + k*k) / a0,
		a1: 2 * (k*k - 1) / a0,
		a2: (1 - k/shelfQ + k*k) / a0,
	}
}

// matchBelow is the rate under which the shelf is matched instead of bent. The
// bilinear transform squeezes the curve near half the sample rate: a 1 kHz
// tone would read 0.01 LU low at 32 kHz, 0.05 at 16 kHz and 0.2 at 8 kHz.
const matchBelow = 44100.0 // hertz

// matchedShelf has the poles of the 48 kHz shelf taken to another rate and the
// zeros that give its gain exactly at 0, at shelfHz or a fifth of the rate,
// and at 0.45 of the rate (after M. Vicanek, Matched Second Order Digital
// Filters, 2016; cited from memory, a test compares the responses).
//
//	p = p48^(48000/fs)    s = sin^2(pi f/fs)
//	|b|^2 = B0 (1 - s) + B1 s + 4 B2 s (1 - s),  solved for B at the three
//	W = (sqrt B0 + sqrt B1)/2
//	b0 = (W + sqrt(W^2 + B2))/2   b1 = (sqrt B0 - sqrt B1)/2   b2 = -B2/(4 b0)
func matchedShelf(rate float64) biquad {
	const highest = 0.45 // of the rate
	at48 := shelfAt(tableRate)
	radius, k := math.Sqrt(at48.a2), tableRate/rate
	angle := math.Acos(-at48.a1 / 2 / radius)
	b := biquad{b0: 1, a1: -2 * math.Pow(radius, k) * math.Cos(angle*k), a2: math.Pow(radius, 2*k)}
	// wanted gives the power gain that the numerator must have.
	wanted := func(hz float64) (s, gain float64) {
		s = math.Sin(math.Pi * hz / rate)
		return s * s, at48.powerGain(hz/tableRate) / b.powerGain(hz/rate)
	}
	_, g0 := wanted(0)
	s1, g1 := wanted(min(shelfHz, rate/5))
	s2, g2 := wanted(highest * rate)
	// Two equations for B1 and B2, B0 being g0.
	r1, r2 := (g1-g0*(1-s1))/s1, (g2-g0*(1-s2))/s2
	c1, c2 := 4*(1-s1), 4*(1-s2)
	q := (r1 - r2) / (c1 - c2)
	n := r1 - c1*q
	w := (math.Sqrt(g0) + math.Sqrt(n)) / 2
	b.b0 = (w + math.Sqrt(w*w+q)) / 2
	b.b1 = (math.Sqrt(g0) - math.Sqrt(n)) / 2
	b.b2 = -q / (4 * b.b0)
	return b
}

// powerGain is |H|^2 at f cycles a sample.
func (b biquad) powerGain(f float64) float64 {
	z := cmplx.Exp(complex(0, -2*math.Pi*f))
	h := (complex(b.b0, 0) + z*(complex(b.b1, 0)+z*complex(b.b2, 0))) / (1 + z*(complex(b.a1, 0)+z*complex(b.a2, 0)))
	return real(h)*real(h) + imag(h)*imag(h)
}

// Weight is the power gain of the K-weighting at hz, as the tables of BS.1770-5
// have it at 48 kHz.
func Weight(hz float64) float64 {
	shelf, highPass := kWeighting(tableRate)
	return shelf.powerGain(hz/tableRate) * highPass.powerGain(hz/tableRate)
}

// highPassAt is stage 2, the revised low-frequency B curve, with b = [1, -2, 1].
func highPassAt(rate float64) biquad {
	k := math.Tan(math.Pi * highPassHz / rate)
	a0 := 1 + k/highPassQ + k*k
	return biquad{b0: 1, b1: -2, b2: 1, a1: 2 * (k*k - 1) / a0, a2: (1 - k/highPassQ + k*k) / a0}
}

// highPassGain is the gain at half the sample rate:
//
//	|H(-1)| = 4 / (1 - a1 + a2)
func highPassGain(b biquad) float64 { return 4 / (1 - b.a1 + b.a2) }

// filter is the K-weighting of one channel with its state and the energy of
// what has come out of it.
type filter struct {
	channel         int
	weight          float64
	shelf, highPass biquad
	s1, s2, t1, t2  float64 // transposed direct form II, shelf and high-pass
	energy          float64
}

// silence is a state so small that it no longer matters: -600 dB. It is set
// to 0 because arithmetic on the smallest floats is a hundred times slower.
const silence = 1e-30

// take returns the weighted energy since the last call.
func (f *filter) take() float64 {
	e := f.energy * f.weight
	f.energy = 0
	for _, s := range []*float64{&f.s1, &f.s2, &f.t1, &f.t2} {
		if math.Abs(*s) < silence {
			*s = 0
		}
	}
	return e
}

// run filters x and adds its energy.
func (f *filter) run(x []float32) {
	b0, b1, b2, a1, a2 := f.shelf.b0, f.shelf.b1, f.shelf.b2, f.shelf.a1, f.shelf.a2
	c1, c2 := f.highPass.a1, f.highPass.a2
	s1, s2, t1, t2, e := f.s1, f.s2, f.t1, f.t2, f.energy
	for _, v := range x {
		in := float64(v)
		mid := b0*in + s1
		s1 = b1*in - a1*mid + s2
		s2 = b2*in - a2*mid
		out := mid + t1
		t1 = t2 - 2*mid - c1*out
		t2 = mid - c2*out
		e += out * out
	}
	f.s1, f.s2, f.t1, f.t2, f.energy = s1, s2, t1, t2, e
}

// runTwo is run for two channels at once.
func runTwo(f, g *filter, x, y []float32) {
	b0, b1, b2, a1, a2 := f.shelf.b0, f.shelf.b1, f.shelf.b2, f.shelf.a1, f.shelf.a2
	c1, c2 := f.highPass.a1, f.highPass.a2
	s1, s2, t1, t2, e := f.s1, f.s2, f.t1, f.t2, f.energy
	u1, u2, v1, v2, d := g.s1, g.s2, g.t1, g.t2, g.energy
	y = y[:len(x)]
	for i, v := range x {
		in := float64(v)
		mid := b0*in + s1
		s1 = b1*in - a1*mid + s2
		s2 = b2*in - a2*mid
		out := mid + t1
		t1 = t2 - 2*mid - c1*out
		t2 = mid - c2*out
		e += out * out

		in = float64(y[i])
		mid = b0*in + u1
		u1 = b1*in - a1*mid + u2
		u2 = b2*in - a2*mid
		out = mid + v1
		v1 = v2 - 2*mid - c1*out
		v2 = mid - c2*out
		d += out * out
	}
	f.s1, f.s2, f.t1, f.t2, f.energy = s1, s2, t1, t2, e
	g.s1, g.s2, g.t1, g.t2, g.energy = u1, u2, v1, v2, d
}
