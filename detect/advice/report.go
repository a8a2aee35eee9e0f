package advice

import (
	"math"
	"slices"

	"dubgauge/detect"
	"dubgauge/detect/reason"
	"dubgauge/detect/spectrum"
)

// report puts a model into words that a program reads: filters the other way round, what
// they leave, and what is still outside the range. offs are how far the track lies off at each.
func (c *curve) report(a *Advice, m *model, offs []float64, bands int) {
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
		a.Moves = append(a.Moves, c.move(m.shapes[i], offs[i]))
	}
	slices.SortStableFunc(a.Moves, func(x, y Move) int { return cmpFloat(x.shape.octave, y.shape.octave) })
	a.Rest = c.rest(m)
}

// shelfQ is the quality of a shelf of slope 1.
const shelfQ = math.Sqrt2 / 2

// move is what takes a filter back, where the track lies so far off.
func (c *curve) move(s shape, off float64) Move {
	byEar := c.top.byEar(s)
	q := s.q
	if s.filter != reason.Bell {
		q = shelfQ
	}
	s.dB = -s.dB
	return Move{Filter: s.filter, Hz: detect.Value(s.hz()), DB: detect.Value(s.dB), Q: detect.Value(q),
		OffDB: detect.Value(off), ByEar: byEar, shape: s}
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
