package standout

import "math"

// spreadPrior is how much a figure differs among masters of one kind in general, in
// dB or LU, and how many references that knowledge is worth.
type spreadPrior struct{ sd, weight float64 }

// priors of the figures that are judged one by one. The level is that of the fitting
// half of the bench's masters (0.7 LU), lowered to what one engineer's masters show
// (common practice, no source); mono loss and true peak hardly differ at all there.
var priors = map[Quantity]spreadPrior{
	Level: {0.6, 8},
	Mono:  {0.5, 8},
	Peak:  {0.5, 8},
}

// farSpreads is where a reference begins to count less.
const farSpreads = 2.5

// moderated is the spread of a prediction from the sample x about its median: how far
// another value would lie, one standard deviation. dof are its degrees of freedom. The
// sample's own variance is moderated by the prior's (Smyth, Statistical Applications
// in Genetics and Molecular Biology 3, 2004), and values that are far off count less:
//
//	s^2 = (nu s0^2 + sum w (x-m)^2) / (nu + sum w - 1),  spread = s sqrt(1 + pi/2n)
//
// the last being the uncertainty of the median. It is never under SpreadFloor.
func moderated(x []float64, median float64, p spreadPrior) (spread, dof float64) {
	s := p.sd
	total := float64(len(x))
	for range reweightings {
		sum, weights := 0.0, 0.0
		for _, v := range x {
			d := (v - median) / s
			w := 1 / math.Max(1, d*d/(farSpreads*farSpreads))
			sum += w * (v - median) * (v - median)
			weights += w
		}
		total = weights
		s = math.Max(SpreadFloor, math.Sqrt((p.weight*p.sd*p.sd+sum)/(p.weight+weights-1)))
	}
	return s * math.Sqrt(1+math.Pi/2/total), p.weight + total - 1
}
