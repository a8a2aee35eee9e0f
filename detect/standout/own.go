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

// own is what the references tell of one another, each held against the others as any track is.
type own struct {
	off     [][]float64 // how far off each lies in each figure
	favours []*favours
}

// eachOther works that out; made goes in step with refs, or is nil.
func (p *predictor) eachOther(refs []tone, made []peaks, weights []float64) own {
	o := own{make([][]float64, len(refs)), make([]*favours, len(refs))}
	for r, x := range refs {
		d := make([]float64, len(p.index))
		p.from(x, d)
		for i, v := range d {
			d[i] *= p.learnt.outside(i, v, weights[r])
		}
		o.off[r] = d
		if made != nil {
			o.favours[r] = p.favours(made[r], learnPeaks(made, r))
		}
	}
	return o
}

// named counts the references that would be named.
func (o own) named(p *predictor) (n int) {
	for r, d := range o.off {
		if _, odds := p.weighed(d, o.favours[r]); odds > p.check {
			n++
		}
	}
	return n
}

// widen makes the variance of the prediction as wide as the references ask for, and says by how
// much. Where more of them would be named than are of clean tracks, they differ by more than
// records of one kind do, and no track is told what would have to be told of them.
func (o own) widen(p *predictor) (times float64) {
	times = 1
	for range mostSteps {
		if o.named(p) <= mayBeNamed(len(o.off)) {
			break
		}
		p.scaleBy(step)
		times *= step
	}
	return times
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
