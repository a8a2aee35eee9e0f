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
	// bridgeBehind is what must be known after a cell to predict backwards.
	bridgeBehind = bridgeAfter + bridgeLength
	// An edit is a sample whose prediction fails by bridgeFails standard deviations, where
	// that of those before has not failed by bridgeHolds.
	bridgeFails, bridgeHolds = 5.0, 4.5
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
	back   [2][bridgeLength + bridgeOrder]float32 // what lies behind a place, backwards
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
	from, all := i-bridgeBefore, [2][]float32{l, r}
	l, r = l[from:i+n+bridgeAfter], r[from:i+n+bridgeAfter]
	b.load(editSide, l, r)
	if !b.fails(editSide) {
		return edit{}, false
	}
	b.load(editLeft, l, r)
	b.load(editRight, l, r)
	best, what := candidate{}, editLeft
	for k, other := range [...]int{editLeft: editRight, editRight: editLeft} {
		if c := b.best(k, other); c.better > best.better {
			best, what = c, k
		}
	}
	// Of the difference of the channels only the sign may change: one that is turned up or
	// down is the arrangement's.
	if alone := b.best(editSide, editSide); alone.better > best.better {
		b.load(middleSum, l, r)
		if c := b.best(editSide, middleSum); c.better > best.better {
			best, what = c, editSide
		} else if best.better == 0 {
			if best, what = alone, editWave; alone.sure() {
				what = editSide
			}
		}
	}
	found = edit{at: int64(from + best.at), what: what, gain: best.gain, better: best.better}
	if what == editSide && best.better > 0 {
		found.behind = b.behind(all[0], all[1], from+best.at)
	}
	return found, best.better > 0
}

// behind is how many times less, in power, the difference of the channels before sample n is
// predicted from what lies behind it with its sign changed, where the sum goes on; 0 where it
// is not.
func (b *bridge) behind(l, r []float32, n int) float64 {
	for i := range b.back[0] {
		k := n + bridgeLength - 1 - i
		b.back[0][i], b.back[1][i] = l[k], r[k]
	}
	b.load(editSide, b.back[0][:], b.back[1][:])
	b.load(middleSum, b.back[0][:], b.back[1][:])
	if b.power(middleSum, 0) > bridgeGood*b.v[middleSum] {
		return 0
	}
	c := b.mend(editSide, bridgeLength)
	if !sameSize(c.gain) {
		return 0
	}
	return c.better
}

// load takes a signal of the channels, predicts it from its first bridgeLength samples and
// measures what is not predicted of the others.
func (b *bridge) load(k int, l, r []float32) {
	y := b.y[k][:0]
	r = r[:len(l)]
	for i, v := range l {
		switch k {
		case editRight:
			v = r[i]
		case editSide:
			v = (v - r[i]) / 2
		case middleSum:
			v = (v + r[i]) / 2
		}
		y = append(y, float64(v))
	}
	b.y[k] = y
	b.predict(k)
	e, a := b.e[k][:0], &b.a[k]
	for i := bridgeLength; i < len(y); i++ {
		sum := 0.0
		for j, v := range (*[bridgeOrder + 1]float64)(y[i-bridgeOrder : i+1]) {
			sum += a[bridgeOrder-j] * v
		}
		e = append(e, sum*sum)
	}
	b.e[k] = e
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
