package standout

import "math"

// spreadPrior is how much a figure differs among masters of one kind in general, in
// dB or LU, and how many references that knowledge is worth.
type spreadPrior struct{ sd, weight, floor float64 }

// priors of the figures that are judged one by one. The level is that of the fitting
// half of the bench's masters (0.7 LU), lowered a little to what one engineer's masters show
// (common practice, no source); mono loss and true peak hardly differ at all there.
var priors = map[Quantity]spreadPrior{
	Level: {0.65, 14, SpreadFloor},
	Mono:  {0.5, 8, SpreadFloor},
	Peak:  {0.5, 8, SpreadFloor},
}

// farSpreads is where a reference begins to count less.
const farSpreads = 2.5

// moderated is where another value of the kind of the sample x would lie, and how far from
// there, one standard deviation. dof are its degrees of freedom. The sample's own variance is
// moderated by the prior's (Smyth, Statistical Applications in Genetics and Molecular
// Biology 3, 2004), and values that are far off count less, from the median on:
//
//	c = sum w x / sum w,  s^2 = (nu s0^2 + sum w (x-c)^2) / (nu + sum w - 1)
//	spread = s sqrt(1 + 1 / sum w)
//
// the last being the uncertainty of the centre. It is never under SpreadFloor.
func moderated(x []float64, median float64, p spreadPrior) prediction {
	c, s := median, p.sd
	total := float64(len(x))
	for range reweightings {
		sum, weighted := 0.0, 0.0
		total = 0
		weights := make([]float64, len(x))
		for i, v := range x {
			d := (v - c) / s
			weights[i] = 1 / math.Max(1, d*d/(farSpreads*farSpreads))
			total += weights[i]
			weighted += weights[i] * v
		}
		c = weighted / total
		for i, v := range x {
			sum += weights[i] * (v - c) * (v - c)
		}
		s = math.Max(p.floor, math.Sqrt((p.weight*p.sd*p.sd+sum)/(p.weight+total-1)))
	}
	return prediction{c, s * math.Sqrt(1+1/total), p.weight + total - 1}
}
