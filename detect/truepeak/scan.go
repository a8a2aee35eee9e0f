package truepeak

import "math"

// Shares of the highest magnitude so far below which a value at half or at
// quarter samples cannot lie next to a higher one: cos(pi/4) = 0.707 and
// cos(pi/8) = 0.924, lowered by what the filter may err by.
const (
	halfShare    = 0.69
	quarterShare = 0.91
)

// innerTaps are the taps on each side of which a half sample is first guessed.
const innerTaps = 4

// bounds says how far off a guess can be.
type bounds struct {
	norm  float32            // of any phase
	inner [innerTaps]float32 // taps of the half-sample phase, from the middle out
	outer float32            // sum of the magnitudes of its other taps
}

func newBounds(k *kernel) bounds {
	b := bounds{norm: k.norm()}
	half := &k[oversampling/2]
	for j := range halfTaps {
		h := half[halfTaps+j]
		if j < innerTaps {
			b.inner[j] = h
		} else {
			b.outer += 2 * float32(math.Abs(float64(h)))
		}
	}
	return b
}

// scan examines the intervals that begin at buf[margin:margin+chunk].
func (m *Meter) scan(buf []float32) {
	for s := range m.maxima {
		m.maxima[s] = largest(buf[s*span : min((s+1)*span, len(buf))])
	}
	m.takeSamplePeak(buf)
	const reach = (margin + span - 1) / span // spans that the filter reaches into
	for from := margin; from < margin+chunk; {
		s := from / span
		to := min((s+1)*span, margin+chunk)
		local := float32(0)
		for _, v := range m.maxima[max(0, s-reach):min(len(m.maxima), s+reach+1)] {
			local = max(local, v)
		}
		if local*m.bounds.norm > m.peak {
			m.scanSpan(buf, from, to, local)
		}
		from = to
	}
}

// takeSamplePeak takes the samples themselves in.
func (m *Meter) takeSamplePeak(buf []float32) {
	highest := float32(0)
	for _, v := range m.maxima {
		highest = max(highest, v)
	}
	m.samplePeak = max(m.samplePeak, highest)
	if highest <= m.peak {
		return
	}
	for i, v := range buf {
		if magnitude(v) == highest {
			m.peak, m.at = highest, float64(m.start)+float64(i)
			return
		}
	}
}

// largest is the largest magnitude in x. The bits of floats of one sign are in
// the order of their magnitudes, and integers are faster to compare.
func largest(x []float32) float32 {
	var a, b uint32
	for len(x) >= 4 {
		y := x[:4:4]
		a = max(a, math.Float32bits(y[0])<<1, math.Float32bits(y[2])<<1)
		b = max(b, math.Float32bits(y[1])<<1, math.Float32bits(y[3])<<1)
		x = x[4:]
	}
	for _, v := range x {
		a = max(a, math.Float32bits(v)<<1)
	}
	return math.Float32frombits(max(a, b) >> 1)
}

func magnitude(v float32) float32 { return math.Float32frombits(math.Float32bits(v) &^ (1 << 31)) }

// scanSpan examines the intervals that begin at buf[from:to]; no sample that
// they depend on is larger than local.
func (m *Meter) scanSpan(buf []float32, from, to int, local float32) {
	enough := halfShare * m.peak
	guess := enough - m.bounds.outer*local
	h := &m.bounds.inner
	last := magnitude(buf[from])
	for i := from; i < to; i++ {
		x := buf[i-innerTaps+1:][: 2*innerTaps : 2*innerTaps]
		next := magnitude(x[innerTaps])
		half := magnitude(h[0]*(x[3]+x[4]) + h[1]*(x[2]+x[5]) + h[2]*(x[1]+x[6]) + h[3]*(x[0]+x[7]))
		if half >= guess && half < enough && last < enough && next < enough {
			half = magnitude(m.kernel.at(oversampling/2, buf[i-halfTaps+1:]))
			if half < enough {
				last = next
				continue
			}
		}
		if half >= enough || last >= enough || next >= enough {
			m.refine(buf, i, max(last, next))
		}
		last = next
	}
}

// refine looks for a new peak between buf[i] and buf[i+1], the larger of which
// is ends.
func (m *Meter) refine(buf []float32, i int, ends float32) {
	x := buf[i-halfTaps+1:]
	for _, p := range []int{2, 4, 6} {
		ends = max(ends, magnitude(m.kernel.at(p, x)))
	}
	if ends < quarterShare*m.peak {
		return
	}
	var y [oversampling + 3]float32 // from one eighth before to one after
	y[0] = m.kernel.at(oversampling-1, buf[i-halfTaps:])
	for p := range oversampling {
		y[p+1] = m.kernel.at(p, x)
	}
	y[oversampling+1] = buf[i+1]
	y[oversampling+2] = m.kernel.at(1, buf[i-halfTaps+2:])
	for p := 1; p <= oversampling+1; p++ {
		peak, shift := vertex(magnitude(y[p-1]), magnitude(y[p]), magnitude(y[p+1]))
		if peak > m.peak {
			m.peak = peak
			m.at = float64(m.start) + float64(i) + (float64(p-1)+shift)/oversampling
		}
	}
}

// vertex is the highest value of the parabola through three equidistant values
// and its distance from the middle one; 0 where the middle one is not the
// largest.
//
//	shift = (a - c) / (2 (a - 2b + c))   peak = b - (a - c) shift / 4
func vertex(a, b, c float32) (peak float32, shift float64) {
	if b < a || b < c {
		return 0, 0
	}
	curve := a - 2*b + c
	if curve == 0 {
		return b, 0
	}
	d := (a - c) / (2 * curve)
	return b - (a-c)*d/4, float64(d)
}
