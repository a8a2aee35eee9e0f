package advice

import (
	"math"
	"slices"

	"dubgauge/detect/reason"
)

// shape of what a verdict has said: a bell of the width that it speaks of, two octaves.
func (s Said) shape() shape {
	const twoOctaves = 0.7
	return shape{s.Filter, s.Off, math.Log2(s.Hz), twoOctaves}.within()
}

// At is what the filter has done at a frequency in hertz, dB.
func (s Said) At(hz float64) float64 { return s.shape().at(hz) }

// advised are the filters that explain the curve, those that a verdict has named first.
// The verdict goes by all loud parts of a track and may see what its loudest 30 s do not
// show: what it has said and the filters do not answer, stands among them as it was said.
func (c *curve) advised(said []Said) model {
	var first model
	for _, s := range said {
		first.shapes = append(first.shapes, s.shape())
	}
	m := c.solve(first, Most, c.allowed)
	var fixed []shape
	for _, s := range said {
		if !c.answers(&m, s) && math.Abs(s.Off) >= Least {
			fixed = append(fixed, s.shape())
		}
	}
	if len(fixed) == 0 {
		return m
	}
	rest := *c
	taken := model{shapes: fixed}
	taken.level = c.expected(&taken)
	rest.dB, rest.heard = c.left(&taken), nil
	m = rest.solve(model{}, Most-len(fixed), func(m *model, i int) bool {
		return rest.allowed(m, i) && !slices.ContainsFunc(fixed, func(f shape) bool { return fight(m.shapes[i], f) || pile(m.shapes[i], f) })
	})
	m.shapes = append(m.shapes, fixed...)
	m.cost = c.cost(&m)
	return m
}

// answers tells whether the filters of a model take back, where a verdict has named a
// filter, at least what is heard.
func (c *curve) answers(m *model, s Said) bool {
	named := s.shape()
	done := make([]float64, len(c.band))
	for i, left := range c.left(&model{shapes: m.shapes}) {
		done[i] = c.dB[i] - left
	}
	sum, weights := 0.0, 0.0
	for i, g := range named.gains(c.band, make([]float64, len(c.band))) {
		if w := math.Abs(g); w >= core*math.Abs(named.dB) {
			weights += w
			sum += w * done[i]
		}
	}
	return weights > 0 && sum/weights*sign(s.Off) >= Least
}

// fight tells that one of two filters undoes, where the other acts, what is heard of it.
func fight(a, b shape) bool {
	return a.dB*b.dB < 0 && (math.Abs(a.at(b.hz())) >= Least || math.Abs(b.at(a.hz())) >= Least)
}

// pile tells that two filters add up, where one acts, to more than is ever advised.
func pile(a, b shape) bool {
	return max(math.Abs(a.side()+b.at(a.best())), math.Abs(b.side()+a.at(b.best()))) > reason.MaxAdvice
}

// best is where a filter does most, in hertz: an octave and a half behind the corner of a
// shelf, the middle of a bell.
func (s shape) best() float64 {
	switch s.filter {
	case reason.LowShelf:
		return s.hz() / 3
	case reason.HighShelf:
		return min(3*s.hz(), 16000)
	}
	return s.hz()
}

// side is what it does there, dB.
func (s shape) side() float64 { return s.at(s.best()) }

func sign(x float64) float64 { return math.Copysign(1, x) }
