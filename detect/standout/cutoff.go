package standout

import "math"

// A cut-off says how many spreads from the group's median a new track must lie
// so that a track like the references goes past it with a probability of only
// 5 or 1 %. Classical cut-offs test points of the sample itself; here a new
// track is held against n references, whose median and spread are uncertain, so
// the cut-offs grow as the group shrinks.

// cutoff holds the two cut-offs for Qn in a group of n.
type cutoff struct{ n, five, one float64 }

// qnCutoffs are from simulations on normal data, two independent ones, the
// larger figure taken (TestSimulateCutoffs is one of them). Sizes between are
// interpolated in 1/n; the limit of large groups is the normal distribution.
var qnCutoffs = []cutoff{
	{5, 4.39, 10.22}, {6, 3.16, 5.70}, {7, 3.15, 5.71}, {8, 2.72, 4.32}, {9, 2.71, 4.38},
	{10, 2.51, 3.82}, {11, 2.52, 3.85}, {12, 2.40, 3.53}, {13, 2.40, 3.53}, {15, 2.32, 3.35},
	{20, 2.20, 3.06}, {30, 2.12, 2.90}, {50, 2.08, 2.77}, {75, 2.02, 2.68}, {100, 2.00, 2.66},
}

// madCutoffs are the same for the median absolute deviation, which serves for
// groups above qnLimit only.
var madCutoffs = []cutoff{{100, 2.05, 2.74}, {150, 2.02, 2.68}, {250, 1.99, 2.63}, {math.Inf(1), normalFive, normalOne}}

// Two-sided 5 and 1 % points of the normal distribution.
const (
	normalFive = 1.960
	normalOne  = 2.576
)

// MinGroup is the smallest group with a statistical verdict: below, a cut-off
// of 1 % would lie beyond 10 spreads.
const MinGroup = 5

// cutoffs gives the 5 and the 1 % cut-off for a group of n, in spreads. For n
// below MinGroup both are infinite.
func cutoffs(n int) (five, one float64) {
	if n < MinGroup {
		return math.Inf(1), math.Inf(1)
	}
	table := qnCutoffs
	if n > qnLimit {
		table = madCutoffs
	}
	for i := 1; i < len(table); i++ {
		lo, hi := table[i-1], table[i]
		if float64(n) > hi.n {
			continue
		}
		// Linear in 1/n, in which both ends are nearly straight.
		w := (1/lo.n - 1/float64(n)) / (1/lo.n - 1/hi.n)
		return lo.five + w*(hi.five-lo.five), lo.one + w*(hi.one-lo.one)
	}
	return normalFive, normalOne
}
