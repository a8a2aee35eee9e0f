package dsp

import (
	"math"
	"slices"
)

// Quantile is the p-quantile of a sorted sample, linear between the order statistics
// (type 7 of Hyndman and Fan, The American Statistician 50, 1996); NaN of none.
//
//	h = (n-1)p;  Q = s[floor h] + (h - floor h)(s[floor h + 1] - s[floor h])
func Quantile(sorted []float64, p float64) float64 {
	if len(sorted) == 0 {
		return math.NaN()
	}
	h := p * float64(len(sorted)-1)
	i := int(h)
	if i+1 >= len(sorted) {
		return sorted[len(sorted)-1]
	}
	return sorted[i] + (h-float64(i))*(sorted[i+1]-sorted[i])
}

// Median is the middle of x, or halfway between the two in the middle; 0 of none. x is
// left as it is.
func Median(x []float64) float64 {
	if len(x) == 0 {
		return 0
	}
	s := slices.Sorted(slices.Values(x))
	return (s[(len(s)-1)/2] + s[len(s)/2]) / 2
}
