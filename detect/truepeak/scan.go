package truepeak

import "math"

// quarterShare is the share of the highest magnitude so far below which a
// value at quarter samples cannot lie next to a higher one: cos(pi/8) = 0.924,
// lowered by what the filter may err by.
const quarterShare = 0.91

// rounding is kept clear of in comparing bounds in single precision.
const rounding = 0.9999

// extent is what a span of samples can contribute.
type extent struct {
	level float32 // largest magnitude
	step  float32 // largest difference between neighbours, the next span's first sample included
}

// scan examines the intervals that begin at buf[margin:margin+chunk].
func (m *Meter) scan(buf []float32) {
	m.extents.of(buf)
	m.takeSamplePeak(buf)
	anywhere := m.extents.around(len(m.extents)/2, len(m.extents)/2-1)
	b := m.bounds
	for s := margin / span; s < (margin+chunk)/span; s++ {
		limit := m.peak * rounding
		level, near := m.extents[s].level, m.extents.around(s, 1).step
		if level+b.ends.times(near, anywhere.step) <= limit {
			continue
		}
		far := m.extents.around(s, margin/span)
		if far.level*b.norm > limit && level+b.ends.times(near, far.step) > limit {
			m.scanSpan(buf, s*span, near, far.step)
		}
	}
}

// extents are those of the spans of a buffer, one after the other.
type extents []extent

// of measures the spans of buf.
func (x extents) of(buf []float32) {
	for s := range x {
		x[s] = extentOf(buf[s*span : min((s+1)*span+1, len(buf))])
	}
}

// around is the extent of the spans up to reach away from span s.
func (x extents) around(s, reach int) extent {
	var e extent
	for _, v := range x[s-reach : s+reach+1] {
		e.level, e.step = max(e.level, v.level), max(e.step, v.step)
	}
	return e
}

// takeSamplePeak takes the samples themselves in.
func (m *Meter) takeSamplePeak(buf []float32) {
	highest := float32(0)
	for _, v := range m.extents {
		highest = max(highest, v.level)
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

// extentOf measures x, a span and the first sample of the next. The bits of
// positive floats are in the order of their values, and integers are faster to
// compare.
func extentOf(x []float32) extent {
	var level, step uint32
	last := x[0]
	level = math.Float32bits(last) << 1
	for _, v := range x[1:] {
		level = max(level, math.Float32bits(v)<<1)
		step = max(step, math.Float32bits(v-last)<<1)
		last = v
	}
	return extent{math.Float32frombits(level >> 1), math.Float32frombits(step >> 1)}
}

func magnitude(v float32) float32 { return math.Float32frombits(math.Float32bits(v) &^ (1 << 31)) }

// scanSpan examines the intervals of one span; near and far are the largest
// steps around it.
func (m *Meter) scanSpan(buf []float32, from int, near, far float32) {
	guessOff, halfOff := m.bounds.guess.times(near, far), m.bounds.half.times(near, far)
	h0, h1, h2, h3 := m.bounds.inner[0], m.bounds.inner[1], m.bounds.inner[2], m.bounds.inner[3]
	x := buf[from-innerTaps+1 : from+span+innerTaps]
	for i := range span {
		y := x[i : i+2*innerTaps : i+2*innerTaps]
		guess := h0*(y[3]+y[4]) + h1*(y[2]+y[5]) + h2*(y[1]+y[6]) + h3*(y[0]+y[7])
		if highest(y[3], guess, y[4])+guessOff > m.peak*rounding {
			m.refine(buf, from+i, halfOff)
		}
	}
}

// highest is what the magnitude of the parabola through three equidistant
// values, taken between them, is never above: it rises over them by an eighth
// of their second difference at most.
func highest(a, b, c float32) float32 {
	return max(magnitude(a), magnitude(b), magnitude(c)) + magnitude(a-2*b+c)/8
}

// refine looks for a new peak between buf[i] and buf[i+1]. The signal is
// within off of the parabola through those two and the value half way.
func (m *Meter) refine(buf []float32, i int, off float32) {
	x := buf[i-halfTaps+1:]
	half := m.kernel.at(oversampling/2, x)
	if highest(buf[i], half, buf[i+1])+off <= m.peak*rounding {
		return
	}
	highest := max(magnitude(buf[i]), magnitude(buf[i+1]), magnitude(half))
	for _, p := range []int{oversampling / 4, oversampling * 3 / 4} {
		highest = max(highest, magnitude(m.kernel.at(p, x)))
	}
	if highest < quarterShare*m.peak {
		return
	}
	y := m.kernel.points(buf, i)
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
