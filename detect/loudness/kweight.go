package loudness

import "math"

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
