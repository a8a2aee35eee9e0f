package standout

import "math"

const (
	// ownFew references are so few that none of them may be named, ownSome that one may be:
	// what is named of them by chance; of more it is ownShare, as of clean tracks.
	ownFew   = 10
	ownSome  = 40
	ownShare = 0.05
	// step of the variance, and how many there are at most: together 66 times.
	step      = 1.15
	mostSteps = 30
)

// mayBeNamed is how many of n references may be.
func mayBeNamed(n int) int {
	switch {
	case n <= ownFew:
		return 0
	case n < ownSome:
		return 1
	}
	return int(ownShare * float64(n))
}

// widening is by how much wider the variance of the prediction must be for these references.
// Each of them is held against the others, as any track is; where more of them would be named
// than are of clean tracks, they differ by more than records of one kind do, and no track is
// told what would have to be told of them.
func (p *predictor) widening(refs []tone, weights []float64) (times float64) {
	times = 1
	for range mostSteps {
		if p.namedOwn(refs, weights) <= mayBeNamed(len(refs)) {
			break
		}
		p.scaleBy(step)
		times *= step
	}
	return times
}

// namedOwn counts the references that would be named.
func (p *predictor) namedOwn(refs []tone, weights []float64) (n int) {
	d := make([]float64, len(p.index))
	for r, x := range refs {
		p.from(x, d)
		for i, v := range d {
			d[i] *= p.learnt.outside(i, v, weights[r])
		}
		if _, odds := p.weighed(d); odds > p.check {
			n++
		}
	}
	return n
}

// outside is by how much further off a reference of this weight, d from the centre in a figure,
// lies from the others alone, in their spread, as a factor: without it the centre moves away by
// its weight, and the variance loses its part.
func (s *spreads) outside(figure int, d, weight float64) float64 {
	left := math.Max(1, s.total-weight)
	narrower := s.variance(figure, 0, 0) * (1 + 1/s.total) / (s.variance(figure, d, weight) * (1 + 1/left))
	return s.total / left * math.Sqrt(narrower)
}

// scaleBy makes the variance of the prediction so many times as large.
func (p *predictor) scaleBy(f float64) {
	p.inverse.ScaleSym(1/f, &p.inverse)
	for i := range p.ways {
		w := &p.ways[i]
		w.square /= f
		for k := range w.weights {
			w.weights[k] /= f
		}
	}
}
