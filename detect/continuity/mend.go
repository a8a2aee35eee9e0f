package continuity

import "math"

// candidate is a place where a gain mends the prediction.
type candidate struct {
	at           int
	gain, better float64
}

// sure tells that the channels change sides whatever the sum does: a hit may begin in the
// middle just then.
func (c candidate) sure() bool { return c.better >= sidesSure && sameSize(c.gain) }

// best is the place where a gain mends the prediction of signal k best while that of the
// other, if it is another, holds. Of the difference of the channels only the sign may
// change: what fits better beside that place with another gain is none.
func (b *bridge) best(k, other int) (out candidate) {
	e, v := b.e[k], b.v[k]
	for i := 1; i+bridgeOrder <= len(e); i++ {
		if e[i-1] > bridgeHolds*bridgeHolds*v || max(e[i], e[i+1], e[i+2]) < bridgeFails*bridgeFails*v {
			continue
		}
		if other != k && b.power(other, i) > bridgeGood*b.v[other] {
			continue
		}
		if c := b.mend(k, bridgeLength+i); c.better > max(bridgeBetter, out.better) && (k != editSide || turns(c.gain)) {
			out = c
		}
	}
	return out
}

// power is what is not predicted of a signal from a place on.
func (b *bridge) power(k, i int) float64 {
	sum := 0.0
	for _, e := range b.e[k][i : i+bridgeOrder] {
		sum += e
	}
	return sum / bridgeOrder
}

// mend finds the gain at place n. What is not predicted has a part f of the samples before
// and a part g of those from n on, which fit best where
//
//	sum of (f + g q)^2 is least: q = -sum f g / sum g^2
//
// As noise is in both parts, the gain is given as that of their sizes:
//
//	gain = (sum g^2 / sum f^2)^(1/2), with the sign of q
func (b *bridge) mend(k, n int) candidate {
	var ff, fg, gg float64
	y := b.y[k]
	for i := n; i < n+bridgeOrder; i++ {
		f, g := 0.0, 0.0
		for j, a := range b.a[k] {
			if i-j < n {
				f += a * y[i-j]
			} else {
				g += a * y[i-j]
			}
		}
		ff += f * f
		fg += f * g
		gg += g * g
	}
	if !(gg > 0) || !(ff > 0) || fg == 0 {
		return candidate{}
	}
	with, without := ff-fg*fg/gg, ff+2*fg+gg
	if with > bridgeGood*bridgeOrder*b.v[k] {
		return candidate{}
	}
	return candidate{n, math.Copysign(math.Sqrt(gg/ff), -fg), without / max(with, bridgeOrder*b.v[k]/bridgeGood)}
}
