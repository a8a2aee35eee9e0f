package compare

import (
	"math"
	"math/cmplx"

	"dubgauge/detect/dsp"
	"dubgauge/detect/dsp/fourier"
)

const (
	// The cross-correlation is whitened between these: every frequency says as much, so that an
	// equaliser does not blur it (generalised cross-correlation with phase transform; Knapp &
	// Carter, IEEE Trans. ASSP 24, 1976). Encoders keep that range.
	lowestPhase  = 100.0
	highestPhase = 10000.0
	// standsOut is by how many times the root mean square of its neighbours the peak of a match
	// must stand out. Windows with nothing in common reach 8, with the same drum samples 14; an encode
	// at 128 kbit/s behind an equaliser and a limiter does not fall below 35 (TestPrograms).
	standsOut = 20.0
	// leastWindows must match, and leastShare of all.
	leastWindows = 2
	leastShare   = 0.25
)

// match is what lies beside what, in the windows that do.
type match struct {
	plan     *plan
	windows  []*pair
	all      int
	offset   float64 // samples of A's rate
	speed    float64 // B's over A's, less 1
	quality  float64
	relation *relation
}

// match tries each candidate and takes the one that most windows agree on.
func (p *plan) match() (match, bool) {
	var best match
	for _, c := range p.candidates {
		if m := p.try(c); len(m.windows) > len(best.windows) || (len(m.windows) == len(best.windows) && m.quality > best.quality) {
			best = m
		}
	}
	ok := len(best.windows) >= leastWindows && float64(len(best.windows)) >= leastShare*float64(best.all)
	return best, ok
}

func (p *plan) try(c candidate) match {
	m := match{plan: p}
	var times, offsets []float64
	for _, w := range c.pairs {
		if !w.a.whole() || !w.b.whole() {
			continue
		}
		m.all++
		lag, quality := p.lagOf(mid(w.a.x), mid(w.beside(p.rateA, p.rateB, float64(c.offset))), int(search*float64(p.rateA)))
		if quality < standsOut {
			continue
		}
		m.windows = append(m.windows, w)
		m.quality += quality
		times = append(times, float64(w.a.first))
		offsets = append(offsets, float64(c.offset)+lag)
	}
	if len(m.windows) > 0 {
		m.offset, m.speed = line(times, offsets)
		m.settle(times, offsets)
	}
	return m
}

// wholeSample is how near to a whole sample an offset is taken for one: at equal rates
// nothing but a resampler moves a track by a part of one.
const wholeSample = 0.2

// settle leaves out windows that lie elsewhere and makes the offset whole where it is.
func (m *match) settle(times, offsets []float64) {
	kept := m.windows[:0]
	for i, w := range m.windows {
		if math.Abs(offsets[i]-m.offset-m.speed*times[i]) <= 2 {
			kept = append(kept, w)
		}
	}
	m.windows = kept
	if whole := math.Round(m.offset); m.plan.rateA == m.plan.rateB && m.speed == 0 && math.Abs(m.offset-whole) < wholeSample {
		m.offset = whole
	}
}

// slowest is the least change of speed that is told from none: a sample in ten seconds at 44.1 kHz.
const slowest = 2e-6

// line is the offset at time 0 and how it grows: the medians of Theil and Sen (P. K. Sen,
// JASA 63, 1968). Without growth worth the name it is the median of all.
func line(times, offsets []float64) (offset, slope float64) {
	var slopes []float64
	for i := range times {
		for j := range i {
			if d := times[i] - times[j]; d != 0 {
				slopes = append(slopes, (offsets[i]-offsets[j])/d)
			}
		}
	}
	if len(slopes) >= 3 {
		slope = dsp.Median(slopes)
	}
	if math.Abs(slope) < slowest {
		slope = 0
	}
	rest := make([]float64, len(offsets))
	for i := range rest {
		rest[i] = offsets[i] - slope*times[i]
	}
	return dsp.Median(rest), slope
}

// mid is the mean of the channels; of channels in opposite phase, the first one.
func mid(x [][]float32) []float64 {
	out := make([]float64, len(x[0]))
	power, sum := 0.0, 0.0
	for i := range out {
		for c := range x {
			out[i] += float64(x[c][i]) / float64(len(x))
			power += float64(x[c][i]) * float64(x[c][i]) / float64(len(x))
		}
		sum += out[i] * out[i]
	}
	if sum < power/100 {
		for i := range out {
			out[i] = float64(x[0][i])
		}
	}
	return out
}

// lagOf is by how many samples b lies behind a, up to most either way, to a part of a sample, and
// how clear that is; negative polarity counts as well.
func (p *plan) lagOf(a, b []float64, most int) (lag, quality float64) {
	n := fourier.FastLength(len(a) + most)
	fft := p.transform(n)
	fa, fb := make([]complex128, n/2+1), make([]complex128, n/2+1)
	fft.Do(fa, padded(a, n))
	fft.Do(fb, padded(b, n))
	limit := float64(n) / float64(len(a)) * windowLength // seconds of the transform
	from, to := int(lowestPhase*limit), min(int(highestPhase*limit), n/2)
	for i := range fa {
		v := fb[i] * cmplx.Conj(fa[i])
		if d := cmplx.Abs(v); i >= from && i < to && d > 0 {
			fa[i] = v / complex(d, 0)
		} else {
			fa[i] = 0
		}
	}
	x := make([]float64, n)
	fft.Back(x, fa)
	value := func(lag int) float64 { return x[(lag+n)%n] }
	best, square := -most, 0.0
	for l := -most; l <= most; l++ {
		square += value(l) * value(l)
		if math.Abs(value(l)) > math.Abs(value(best)) {
			best = l
		}
	}
	peak := math.Abs(value(best))
	rms := math.Sqrt(math.Max(0, square-peak*peak) / float64(2*most))
	if rms == 0 || best == -most || best == most {
		return 0, 0
	}
	return float64(best) + vertex(math.Abs(value(best-1)), peak, math.Abs(value(best+1))), peak / rms
}

// transform is one of n samples; all windows have the same number.
func (p *plan) transform(n int) *fourier.Real {
	if p.fft == nil || p.length != n {
		p.fft, p.length = fourier.NewReal(n), n
	}
	return p.fft
}

// vertex is where the parabola through three values has its peak, from the middle one.
func vertex(before, peak, after float64) float64 {
	d := before - 2*peak + after
	if d == 0 {
		return 0
	}
	return (before - after) / (2 * d)
}

func padded(x []float64, n int) []float64 {
	return append(make([]float64, 0, n), append(x, make([]float64, n-len(x))...)...)
}
