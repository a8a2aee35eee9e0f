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
// than that counts at its own size.
var sizes = [...]float64{3, 4.5, 6, 8}

// mostRatio keeps the odds of what no record has ever been within what a number holds.
const mostRatio = 1000.0

// evidence is for one of the ways.
type evidence struct {
	way    *way
	dB     float64 // by generalised least squares
	spread float64 // that in standard errors
	odds   float64
}

// weighed lists, in the order of the predictor's ways, the evidence for those whose move is
// audible, and the sum of their odds.
func (p *predictor) weighed(d []float64) (all []evidence, odds float64) {
	none := quadratic(&p.inverse, d)
	power := (p.dof + float64(len(d))) / 2
	for i := range p.ways {
		w := &p.ways[i]
		dB, spread := w.amount(d)
		if size := dB * w.sign; size >= w.move.audible {
			e := evidence{w, dB, spread, w.usual * w.likelier(size, none, p.dof, power)}
			all = append(all, e)
			odds += e.odds
		}
	}
	return all, odds
}

// likelier is by how much what is seen is likelier with a move whose best size is given than
// without: none is d' V d.
func (w *way) likelier(best, none, dof, power float64) float64 {
	sum := 0.0
	for i, s := range sizes {
		if i == len(sizes)-1 {
			s = math.Max(s, best)
		}
		with := none - w.square*s*(2*best-s)
		sum += math.Pow(math.Min(mostRatio, (dof+none)/(dof+math.Max(0, with))), power)
	}
	return sum / float64(len(sizes))
}
