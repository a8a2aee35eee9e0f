package advice

import (
	"math"
	"slices"

	"dubgauge/detect"
	"dubgauge/detect/dsp"
	"dubgauge/detect/loudness"
	"dubgauge/detect/reason"
	"dubgauge/detect/spectrum"
)

const (
	// A normal distribution has its 10th and 90th percentile 2.563 standard deviations
	// apart.
	tenthToNinetieth = 2.563
	// bandFloor is what a third octave of one and the same music differs by from part
	// to part, dB; our judgement. It keeps a band in which all references agree from
	// outweighing all others.
	bandFloor = 0.7
	// looseLevel is how far loudness may be off as a measure of the level of a spectrum,
	// dB: between songs it rests on other parts of them.
	looseLevel = 0.5
)

// curve is a problem with the range that is normal in each band.
type curve struct {
	problem
	low, high []float64 // dB from the median
}

// curveOf holds a spectrum against the percentiles of its group.
func curveOf(own detect.Spectrum, level detect.Value, low, middle, high []detect.Value) *curve {
	c := &curve{problem: problem{loose: looseLevel}}
	strongest := detect.Value(math.Inf(-1))
	for _, v := range middle {
		if v.Exists() {
			strongest = max(strongest, v)
		}
	}
	for b := firstBand; b <= lastBand && b < len(middle) && b < len(own.LoudestDB); b++ {
		off := own.LoudestDB[b] - level - middle[b]
		_, upper := spectrum.Edges(b)
		if !off.Exists() || middle[b] < strongest-quietest || (own.BandwidthHz.Exists() && upper > float64(own.BandwidthHz)) {
			continue
		}
		spread := float64(high[b]-low[b]) / tenthToNinetieth
		c.band = append(c.band, b)
		c.dB = append(c.dB, float64(off))
		c.weight = append(c.weight, 1/(spread*spread+bandFloor*bandFloor))
		c.heard = append(c.heard, math.Pow(10, float64(own.LoudestDB[b]-level)/10)*loudness.Weight(spectrum.Exact(b)))
		c.low, c.high = append(c.low, float64(low[b]-middle[b])), append(c.high, float64(high[b]-middle[b]))
	}
	return c
}

// core is the part of its effect from which a band belongs to a filter.
const core = 0.5

// about is how far the track lies off where a filter of the model acts, without that
// filter: the mean over its bands, weighted by its effect; and the range there.
func (c *curve) about(m *model, i int) (off, low, high float64) {
	gains, left := m.shapes[i].gains(c.band, make([]float64, len(c.band))), c.left(m)
	most := 0.0
	for _, g := range gains {
		most = max(most, math.Abs(g))
	}
	sum := 0.0
	for b, g := range gains {
		w := math.Abs(g)
		if w < core*most || most == 0 {
			continue
		}
		sum += w
		off += w * (left[b] + g)
		low += w * c.low[b]
		high += w * c.high[b]
	}
	return off / sum, low / sum, high / sum
}

// What is narrower than about half an octave is no broad move: only a peak of so many dB
// is taken out, as a resonance; holes are left alone. Common practice, no source.
const (
	broadQ = 2.5
	peakDB = 3.0
)

// allowed tells whether a filter of the model may be advised: it is audible, what it
// takes back lies outside the range, and no larger one does the opposite at one place, or
// so much of the same that both are more than what is ever advised.
func (c *curve) allowed(m *model, i int) bool {
	s := m.shapes[i]
	if math.Abs(s.dB) < Least || (s.filter == reason.Bell && s.q > broadQ && s.dB < peakDB) {
		return false
	}
	for k, o := range m.shapes {
		larger := math.Abs(o.dB) > math.Abs(s.dB) || (o.dB == s.dB && k < i)
		if k != i && larger && (fight(s, o) || pile(s, o)) {
			return false
		}
	}
	off, low, high := c.about(m, i)
	return (s.dB > 0 && off > high) || (s.dB < 0 && off < low)
}

// medianLevel of the references, LUFS.
func medianLevel(spectra []detect.Spectrum, levels []detect.Value) float64 {
	var x []float64
	for i, v := range levels {
		if v.Exists() && len(spectra[i].LoudestDB) > 0 {
			x = append(x, float64(v))
		}
	}
	return dsp.Median(x)
}

// report puts a model into words that a program reads: filters the other way round, what
// they leave, and what is still outside the range.
func (c *curve) report(a *Advice, m *model, bands int) {
	none := func() detect.Values {
		v := make(detect.Values, bands)
		for i := range v {
			v[i] = detect.None
		}
		return v
	}
	a.OffDB, a.LowDB, a.HighDB, a.LeftDB = none(), none(), none(), none()
	a.Bands = len(c.band)
	m.level = c.expected(m) // as the track will be held against its new loudness
	leaves := c.left(m)
	for i, b := range c.band {
		left := leaves[i]
		a.OffDB[b], a.LeftDB[b] = detect.Value(c.dB[i]), detect.Value(left)
		a.LowDB[b], a.HighDB[b] = detect.Value(c.low[i]), detect.Value(c.high[i])
		if c.outside(i, c.dB[i]) == 0 {
			a.InsideBefore++
		}
		if c.outside(i, left) == 0 {
			a.InsideAfter++
		}
	}
	for i := range m.shapes {
		a.Moves = append(a.Moves, c.move(m, i))
	}
	slices.SortStableFunc(a.Moves, func(x, y Move) int { return cmpFloat(x.shape.octave, y.shape.octave) })
	a.Rest = c.rest(m)
}

// shelfQ is the quality of a shelf of slope 1.
const shelfQ = math.Sqrt2 / 2

// move is what takes a filter of the model back.
func (c *curve) move(m *model, i int) Move {
	s := m.shapes[i]
	off, _, _ := c.about(m, i)
	q := s.q
	if s.filter != reason.Bell {
		q = shelfQ
	}
	s.dB = -s.dB
	return Move{Filter: s.filter, Hz: detect.Value(s.hz()), DB: detect.Value(s.dB), Q: detect.Value(q),
		OffDB: detect.Value(off), shape: s}
}

// outside is how far a deviation lies outside the range of a band, with its sign. What
// rounding leaves is inside.
func (c *curve) outside(i int, off float64) float64 {
	const rounding = 0.05
	switch {
	case off > c.high[i]+rounding:
		return off - c.high[i]
	case off < c.low[i]-rounding:
		return off - c.low[i]
	}
	return 0
}

// worthARest in dB is how far outside the range something must lie to be named.
const worthARest = 1.0

// rest lists the runs of bands that the model leaves outside the range on one side.
func (c *curve) rest(m *model) []Rest {
	out, left := []Rest{}, c.left(m)
	for i := 0; i < len(c.band); {
		from, worst := i, 0.0
		for ; i < len(c.band); i++ {
			off := c.outside(i, left[i])
			if off == 0 || off*worst < 0 || c.band[i]-c.band[from] != i-from {
				break
			}
			if math.Abs(off) > math.Abs(worst) {
				worst = off
			}
		}
		if math.Abs(worst) >= worthARest {
			out = append(out, Rest{detect.Value(spectrum.Centres[c.band[from]]), detect.Value(spectrum.Centres[c.band[i-1]]), detect.Value(worst)})
		}
		if i == from {
			i++
		}
	}
	return out
}
