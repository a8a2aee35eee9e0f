package standout

import "math"

const (
	// ownShare of the references may be named, and ownLeast of them in any case: what is named of clean
	// tracks, and what of few of them is by chance.
	ownShare = 0.05
	ownLeast = 1
	// widening of the variance in a step, and how many steps there are at most: together 66 times.
	widening  = 1.15
	mostSteps = 30
)

// widen makes the prediction as wide as these references ask for. Each of them is held against
// the others, as any track is; where more of them would be named than are of clean tracks, they
// differ by more than records of one kind do, and no track is told what would have to be told
// of them.
func (p *predictor) widen(refs []tone, weights []float64, total float64) {
	for range mostSteps {
		if p.namedOwn(refs, weights, total) <= max(ownLeast, int(ownShare*float64(len(refs)))) {
			return
		}
		p.scaleBy(widening)
	}
}

// namedOwn counts the references that would be named.
func (p *predictor) namedOwn(refs []tone, weights []float64, total float64) (n int) {
	d := make([]float64, len(p.index))
	for r, x := range refs {
		p.from(x, d)
		further := p.outside(quadratic(&p.inverse, d), weights[r], total)
		for i := range d {
			d[i] *= further
		}
		if _, odds := p.weighed(d); odds > p.check {
			n++
		}
	}
	return n
}

// outside is by how much further off a reference lies from the others alone, as a factor,
// square being its d' V d: without it the centre moves away by its weight, and the covariance
// loses its part (Sherman & Morrison, Annals of Mathematical Statistics 21, 1950).
func (p *predictor) outside(square, weight, total float64) float64 {
	part := weight * (1 + 1/total) * square / (priorMasters + total - 1)
	return total / math.Max(1, total-weight) / math.Sqrt(math.Max(leastLeft, 1-part))
}

// leastLeft bounds what one reference can be to the covariance.
const leastLeft = 0.1

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
