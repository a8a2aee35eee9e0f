package continuity

import "math"

const (
	// bridgeOrder is that of the linear prediction, bridgeLength the samples that it is
	// made of.
	bridgeOrder, bridgeLength = 12, 256
	// bridgeMargin is how far beside a cell an edit is looked for, in samples; bridgeBefore
	// and bridgeAfter what must be known around a cell.
	bridgeMargin              = 4
	bridgeBefore, bridgeAfter = bridgeLength + bridgeMargin, bridgeMargin + bridgeOrder
	// An edit is a sample whose prediction fails by bridgeFails standard deviations, where
	// that of those before has not failed by bridgeHolds.
	bridgeFails, bridgeHolds = 5.0, 3.0
	// With the gain that fits best the prediction must fail by bridgeBetter times less, in
	// power, and by no more than bridgeGood times the variance that it has before; that of
	// the other signal must go on so too.
	bridgeBetter, bridgeGood = 8.0, 6.0
	// bridgeNoise is added to the variance, the noise of 16 bit.
	bridgeNoise = 1e-10
)

// bridge holds linear prediction over a place against what follows there.
type bridge struct {
	window [bridgeLength]float64
	weight float64 // sum of the window's squares
	y      [4][]float64
	a      [4][bridgeOrder + 1]float64
	v      [4]float64 // variance of what is not predicted
	e      [4][]float64
}

func newBridge() *bridge {
	b := &bridge{}
	for i := range b.window {
		b.window[i] = 0.5 - 0.5*math.Cos(2*math.Pi*(float64(i)+0.5)/bridgeLength)
		b.weight += b.window[i] * b.window[i]
	}
	return b
}

// middleSum is the signal beside those of edits: half the sum of the channels.
const middleSum = editWave

// at looks for an edit in the cell of n samples at place i of the channels.
func (b *bridge) at(l, r []float32, i, n int) (found edit, ok bool) {
	from := i - bridgeBefore
	l, r = l[from:i+n+bridgeAfter], r[from:i+n+bridgeAfter]
	b.load(editSide, l, r, func(l, r float32) float32 { return (l - r) / 2 })
	if !b.fails(editSide) {
		return edit{}, false
	}
	b.load(editLeft, l, r, func(l, _ float32) float32 { return l })
	b.load(editRight, l, r, func(_, r float32) float32 { return r })
	best, what := candidate{}, editLeft
	for k, other := range [...]int{editLeft: editRight, editRight: editLeft} {
		if c := b.best(k, other); c.better > best.better {
			best, what = c, k
		}
	}
	// Of the difference of the channels only the sign may change: one that is turned up or
	// down is the arrangement's.
	if alone := b.best(editSide, editSide); alone.gain < 0 && alone.better > best.better {
		b.load(middleSum, l, r, func(l, r float32) float32 { return (l + r) / 2 })
		if c := b.best(editSide, middleSum); c.gain < 0 && c.better > best.better {
			best, what = c, editSide
		} else if best.better == 0 {
			best, what = alone, editWave
		}
	}
	return edit{int64(from + best.at), what, best.gain}, best.better > 0
}

// load takes a signal of the channels, predicts it from its first bridgeLength samples and
// measures what is not predicted of the others.
func (b *bridge) load(k int, l, r []float32, of func(l, r float32) float32) {
	y := b.y[k][:0]
	for i, v := range l {
		y = append(y, float64(of(v, r[i])))
	}
	b.y[k] = y
	b.predict(k)
	e := b.e[k][:0]
	for i := bridgeLength; i < len(y); i++ {
		sum := 0.0
		for j, a := range b.a[k] {
			sum += a * y[i-j]
		}
		e = append(e, sum*sum)
	}
	b.e[k] = e
}

// predict is the autocorrelation method by the recursion of Levinson and Durbin (Makhoul,
// Proc. IEEE 63(4), 1975): what is not predicted is sum of a[j] y[i-j], a[0] being 1.
func (b *bridge) predict(k int) {
	var x [bridgeLength]float64
	for i, w := range b.window {
		x[i] = w * b.y[k][i]
	}
	var r [bridgeOrder + 1]float64
	for lag := range r {
		later := x[lag:]
		var even, odd float64
		i := 0
		for ; i+1 < len(later); i += 2 {
			even += later[i] * x[i]
			odd += later[i+1] * x[i+1]
		}
		for ; i < len(later); i++ {
			even += later[i] * x[i]
		}
		r[lag] = even + odd
	}
	r[0] += r[0]*1e-7 + 1e-12
	a, left := &b.a[k], r[0]
	*a = [bridgeOrder + 1]float64{1}
	for i := 1; i <= bridgeOrder; i++ {
		sum := r[i]
		for j := 1; j < i; j++ {
			sum += a[j] * r[i-j]
		}
		reflect, old := -sum/left, *a
		for j := 1; j < i; j++ {
			a[j] += reflect * old[i-j]
		}
		a[i] = reflect
		left *= 1 - reflect*reflect
	}
	b.v[k] = left/b.weight + bridgeNoise
}

// fails tells whether the prediction of a signal fails anywhere.
func (b *bridge) fails(k int) bool {
	for _, e := range b.e[k] {
		if e > bridgeFails*bridgeFails*b.v[k] {
			return true
		}
	}
	return false
}

// candidate is a place where a gain mends the prediction.
type candidate struct {
	at           int
	gain, better float64
}

// best is the place where a gain mends the prediction of signal k best while that of the
// other, if it is another, holds.
func (b *bridge) best(k, other int) (out candidate) {
	e, v := b.e[k], b.v[k]
	for i := 1; i+bridgeOrder <= len(e); i++ {
		if e[i-1] > bridgeHolds*bridgeHolds*v || max(e[i], e[i+1], e[i+2]) < bridgeFails*bridgeFails*v {
			continue
		}
		if other != k && b.power(other, i) > bridgeGood*b.v[other] {
			continue
		}
		if c := b.mend(k, bridgeLength+i); c.better > max(bridgeBetter, out.better) {
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
