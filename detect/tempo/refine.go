package tempo

import (
	"math"
	"math/cmplx"

	"dubgauge/detect/dsp"
)

// harmonics of the beat frequency that carry the phase: down to sixteenths and
// the triplets between.
const harmonics = 6

const (
	// sectionSeconds is the length of the pieces whose phases are compared; at
	// least sectionsMin pieces are made of a short track.
	sectionSeconds = 6
	sectionsMin    = 12
)

// section is a piece of the curve with its Fourier coefficients at the
// harmonics of the beat, phases counted from the beginning of the track.
type section struct {
	at     float64 // its middle, seconds from the first value
	coeff  [harmonics]complex128
	shift  float64 // how late it is against the whole, seconds
	match  float64 // how well it agrees at that shift, -1 to 1
	weight float64
}

// sections cuts x, with values step seconds apart, and takes the coefficients
// at the harmonics of hz.
func sections(x []float64, step, hz float64) []section {
	n := sectionValues(x, step)
	if n < 1 {
		return nil
	}
	out := make([]section, len(x)/n)
	for i := range out {
		s := &out[i]
		s.at = (float64(i*n) + float64(n-1)/2) * step
		for k := range s.coeff {
			s.coeff[k] = coefficient(x[i*n:(i+1)*n], float64(i*n)*step, step, hz*float64(k+1))
		}
	}
	return out
}

// sectionValues is the number of values of a section of x.
func sectionValues(x []float64, step float64) int {
	return min(int(sectionSeconds/step), len(x)/sectionsMin)
}

// coefficient is the Fourier sum of x less its mean, x[0] being at time from:
//
//	X(f) = sum over n of (x[n] - mean) e^(-2 pi i f (from + n step))
func coefficient(x []float64, from, step, hz float64) complex128 {
	mean := 0.0
	for _, v := range x {
		mean += v
	}
	mean /= float64(len(x))
	turn := cmplx.Rect(1, -2*math.Pi*hz*step)
	w := cmplx.Rect(1, -2*math.Pi*math.Mod(hz*from, 1))
	var sum complex128
	for _, v := range x {
		sum += complex(v-mean, 0) * w
		w *= turn
	}
	return sum
}

// template is the mean beat: the sum of the sections' coefficients.
func template(ss []section) (t [harmonics]complex128) {
	for i := range ss {
		for k, c := range ss[i].coeff {
			t[k] += c
		}
	}
	return t
}

// coherence is how well the sections agree in phase, about 0 for unrelated
// ones (up to 0.5 for the best of many frequencies in a short track) and 1 for a
// machine: the mean over pairs of sections of their product, by its size.
//
//	sum over k (|sum over s X(s,k)|^2 - sum over s |X(s,k)|^2) /
//	sum over k ((sum over s |X(s,k)|)^2 - sum over s |X(s,k)|^2)
func coherence(ss []section) float64 {
	num, den := 0.0, 0.0
	for k := range harmonics {
		var sum complex128
		var size, square float64
		for i := range ss {
			c := ss[i].coeff[k]
			a := cmplx.Abs(c)
			sum += c
			size += a
			square += a * a
		}
		num += real(sum)*real(sum) + imag(sum)*imag(sum) - square
		den += size*size - square
	}
	if den <= 0 || num <= 0 {
		return 0
	}
	return num / den
}

// shiftSteps is the resolution of a shift in a period; the maximum is then
// interpolated.
const shiftSteps = 64

// shiftCost is the loss of match for a shift that changes by a whole period
// between sections. Over half a beat it is more than two sections can gain, so that a
// break that leaves only the off-beats is not taken for a beat that moved.
const shiftCost = 4

// align finds each section's shift against the template: the course of least
// cost through their cross-correlations.
//
//	r(s,d) = sum over k Re(X(s,k) conj T(k) e^(2 pi i k f d)) / sum over k |X(s,k)| |T(k)|
func align(ss []section, hz float64) {
	if len(ss) == 0 {
		return
	}
	t := template(ss)
	match := make([][shiftSteps]float64, len(ss))
	weights := make([]float64, len(ss))
	for i := range ss {
		match[i], weights[i] = ss[i].correlate(&t)
	}
	typical := max(dsp.Median(weights), 1e-300)
	back := make([][shiftSteps]int, len(ss))
	var score [shiftSteps]float64
	for i := range ss {
		var next [shiftSteps]float64
		for d := range next {
			next[d] = math.Inf(-1)
			for q, v := range score {
				away := max(d-q, q-d)
				away = min(away, shiftSteps-away)
				if v -= shiftCost * float64(away) / shiftSteps; v > next[d] {
					next[d], back[i][d] = v, q
				}
			}
			next[d] += match[i][d] * min(1, weights[i]/typical)
		}
		score = next
	}
	d := 0
	for q, v := range score {
		if v > score[d] {
			d = q
		}
	}
	for i := len(ss) - 1; i >= 0; i-- {
		ss[i].settle(&match[i], d, hz)
		ss[i].weight = weights[i] * max(0, ss[i].match)
		d = back[i][d]
	}
}

// correlate gives the match with t at every shift, and the strength.
func (s *section) correlate(t *[harmonics]complex128) (r [shiftSteps]float64, weight float64) {
	for k := range t {
		c := s.coeff[k] * cmplx.Conj(t[k])
		weight += cmplx.Abs(c)
		turn := cmplx.Rect(1, 2*math.Pi*float64(k+1)/shiftSteps)
		for d := range r {
			r[d] += real(c)
			c *= turn
		}
	}
	for d := range r {
		r[d] /= max(weight, 1e-300)
	}
	return r, weight
}

// settle sets the shift to the maximum near d, a 64th of a period, if there is
// one, or to d itself.
func (s *section) settle(match *[shiftSteps]float64, d int, hz float64) {
	at := func(d int) float64 { return match[(d+shiftSteps)%shiftSteps] }
	for range 2 {
		if at(d+1) > at(d) {
			d++
		} else if at(d-1) > at(d) {
			d--
		}
	}
	place := float64(d) + max(-1, min(1, vertex(at(d-1), at(d), at(d+1))))
	s.match = at(d)
	s.shift = math.Remainder(place/shiftSteps, 1) / hz
}

// vertex is the place of the maximum of the parabola through three values,
// relative to the middle one.
func vertex(a, b, c float64) float64 {
	if d := a - 2*b + c; d < 0 {
		return 0.5 * (a - c) / d
	}
	return 0
}

// line fits shift = offset + slope * at by weighted least squares, the weights
// falling with the distance from the last fit (Tukey's biweight, cut at
// reach), and returns the residual's standard deviation and the slope's
// standard error.
func line(ss []section, reach float64) (slope, offset, sd, se float64) {
	for range 5 {
		var w, x, y, xx, xy, ww float64
		for i := range ss {
			s := &ss[i]
			u := (s.shift - offset - slope*s.at) / reach
			if u *= u; u >= 1 {
				continue
			}
			v := s.weight * (1 - u) * (1 - u)
			w, ww = w+v, ww+v*v
			x, y = x+v*s.at, y+v*s.shift
			xx, xy = xx+v*s.at*s.at, xy+v*s.at*s.shift
		}
		det := w*xx - x*x
		if w == 0 || det <= 0 {
			return 0, 0, math.Inf(1), math.Inf(1)
		}
		slope, offset = (w*xy-x*y)/det, (xx*y-x*xy)/det
		sum := 0.0
		for i := range ss {
			s := &ss[i]
			d := s.shift - offset - slope*s.at
			if math.Abs(d) < reach {
				u := d / reach
				sum += s.weight * (1 - u*u) * (1 - u*u) * d * d
			}
		}
		n := w * w / ww // effective number of sections
		sd = math.Sqrt(sum / w * n / max(n-2, 0.5))
		se = sd / math.Sqrt(n*(xx/w-x*x/w/w))
	}
	return slope, offset, sd, se
}

// pulse is a steady beat: its frequency and how sure that is.
type pulse struct {
	hz, error float64 // error: standard error in hertz
	coherence float64
	spread    float64 // standard deviation of the sections' phases, seconds
	sections  []section
}

// refine finds the frequency near hz at which the phase of the curve stays the
// same over the whole track.
func refine(x []float64, step, hz float64) pulse {
	p := pulse{hz: peakNear(x, step, hz)}
	for range 4 {
		p.sections = sections(x, step, p.hz)
		align(p.sections, p.hz)
		slope, _, sd, se := line(p.sections, 0.12/p.hz)
		p.spread, p.error = sd, p.hz*se
		if math.IsInf(se, 1) {
			break
		}
		p.hz /= 1 + slope
	}
	p.sections = sections(x, step, p.hz)
	p.coherence = coherence(p.sections)
	align(p.sections, p.hz)
	return p
}

// peakNear moves hz to the maximum of the power at the harmonics of the
// beat, within the width of the Fourier transform of the whole curve.
//
//	sum over k |X(k f)|^2
func peakNear(x []float64, step, hz float64) float64 {
	ss := sections(x, step, hz)
	total := float64(len(x)) * step
	power := func(df float64) (sum float64) {
		for k := range harmonics {
			var c complex128
			for i := range ss {
				c += ss[i].coeff[k] * cmplx.Rect(1, -2*math.Pi*float64(k+1)*df*ss[i].at)
			}
			sum += real(c)*real(c) + imag(c)*imag(c)
		}
		return sum
	}
	const fine = 16.0 // steps to the resolution of the highest harmonic
	best, where := 0.0, 0.0
	for i := -8 * harmonics; i <= 8*harmonics; i++ {
		df := float64(i) / fine / total
		if v := power(df); v > best {
			best, where = v, df
		}
	}
	return hz + where
}

// neighbours is how many sections on are compared for the local coherence.
const neighbours = 3

// localCoherence is the coherence between sections that are near each other,
// which a slow drift leaves alone.
//
//	sum Re X(s,k) conj X(u,k) / sum |X(s,k)| |X(u,k)|   over k, 0 < u-s <= 3
func localCoherence(ss []section) float64 {
	num, den := 0.0, 1e-300
	for i := range ss {
		for j := i + 1; j <= min(i+neighbours, len(ss)-1); j++ {
			for k := range harmonics {
				c := ss[i].coeff[k] * cmplx.Conj(ss[j].coeff[k])
				num += real(c)
				den += cmplx.Abs(c)
			}
		}
	}
	return max(0, num/den)
}
