package standout

import "math"

// Whether something was done to the balance of a track is a question of odds (Jeffreys,
// Theory of Probability, 3rd edition, 1961, chapter V): how much likelier what is seen is if
// one of the moves was made than if none was, over all moves and over the sizes that are met:
//
//	odds = sum_k u_k mean_s p(d - s a_k) / p(d)
//	p(d) ~ (1 + d' V d / nu)^(-(nu + n) / 2)
//
// d being how far a track lies from the references in n figures, a_k what 1 dB of a move
// does, u_k how common it is, V the inverse covariance of a prediction and nu its degrees of
// freedom. What is as likely among clean records as what an equaliser would leave tells
// nothing, however far from the middle it lies.

// sizes of a move that are met, in dB: what is just heard, and what is gross. What is more
// than that counts at its own size, and the rarer the grosser it is: by rarer, as a power.
var sizes = [...]float64{3, 4.5, 6, 8}

const rarer = 4.0

// mostRatio keeps the odds of what no record has ever been within what a number holds.
const mostRatio = 1000.0

// evidence is for one of the ways.
type evidence struct {
	way    *way
	dB     float64 // what is said of it, see said
	spread float64 // that in standard errors
	odds   float64
	behind bool // the limiter, as the peaks tell
}

// weighed lists, in the order of the predictor's ways, the evidence for those whose move is
// audible, and the sum of their odds.
func (p *predictor) weighed(d []float64, f *favours) (all []evidence, odds float64) {
	none := quadratic(&p.inverse, d)
	power := (p.dof + float64(len(d))) / 2
	for i := range p.ways {
		w := &p.ways[i]
		dB, spread := w.amount(d)
		best, plain := dB*w.sign, w.plain(d)*w.sign
		if math.Min(best, plain) < w.move.audible {
			continue // a listener who knows the references would not hear it
		}
		ratio, size := w.likelier(best, none, p.dof, power)
		ratio *= f.of(i)
		all = append(all, evidence{w, w.sign * said(best, plain, size), spread, w.usual * ratio, f.tell(i)})
		odds += w.usual * ratio
	}
	return all, odds
}

// said is the size of a move that is told, in dB: the mean of those that are met, as likely as
// each is; what is grosser than all of them as it is seen. It is never more than what plainly
// lies off.
func said(best, plain, size float64) float64 {
	gross := math.Min(best, plain)
	if gross > sizes[len(sizes)-1] {
		return gross
	}
	return math.Min(size, gross)
}

// likelier is by how much what is seen is likelier with a move whose best size is given than
// without, and the mean size: none is d' V d.
func (w *way) likelier(best, none, dof, power float64) (ratio, size float64) {
	for i, s := range sizes {
		share := 1.0 / float64(len(sizes))
		if i == len(sizes)-1 && best > s {
			share *= math.Pow(s/best, rarer)
			s = best
		}
		with := none - w.square*s*(2*best-s)
		r := math.Pow(math.Min(mostRatio, (dof+none)/(dof+math.Max(0, with))), power)
		ratio += share * r
		size += share * s * r
	}
	return ratio, size / ratio
}
