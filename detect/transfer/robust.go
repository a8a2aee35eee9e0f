package transfer

import "slices"

// middle is the median; it sorts x.
func middle(x []float64) float64 { return share(x, 0.5) }

// share is the value that so much of x lies below; it sorts x.
func share(x []float64, q float64) float64 {
	slices.Sort(x)
	return x[min(len(x)-1, int(q*float64(len(x))))]
}
