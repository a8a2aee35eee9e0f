package page

import (
	"math"

	"dubgauge/detect"
	"dubgauge/export/words"
)

func newLane(l int, right, high, low float64) lane {
	n := lane{Title: laneTitles[l], high: high, low: low, top: laneTop + float64(l)*(laneHeight+laneGap)}
	n.bottom = n.top + laneHeight
	n.Top, n.Drop, n.TitleY = svg(n.top), svg(laneTop+laneCount*(laneHeight+laneGap)-laneGap-n.top), svg(n.top-6)
	n.Left, n.Right = svg(staveLeft), svg(right)
	for _, v := range laneTicks(high, low) {
		n.Ticks = append(n.Ticks, tick{svg(n.y(v)), words.Page.Number(detect.Value(v), 0)})
	}
	return n
}

// mostTicks is how many figures stand at the side of a lane at most.
const mostTicks = 4

// laneTicks are round figures within a lane.
func laneTicks(high, low float64) (all []float64) {
	step := 1.0
	for _, s := range []float64{1, 2, 5, 10, 20, 50, 100} {
		if step = s; (high-low)/s <= mostTicks {
			break
		}
	}
	for v := math.Ceil(low/step) * step; v <= high; v += step {
		all = append(all, v)
	}
	return all
}

// y is the height of a figure.
func (n *lane) y(v float64) float64 {
	return n.top + (n.high-math.Max(n.low, math.Min(n.high, v)))/(n.high-n.low)*(n.bottom-n.top)
}

// The bar of a track begins and ends so far within its column.
const (
	barInset  = 5.0
	thinInset = 8.0
)

// track draws a track whose column begins at x and is so wide. Where moved is set, the second figure is
// where the first has come from.
func (n *lane) track(x, column float64, main, second detect.Value, moved bool) {
	if !main.Exists() {
		n.joins.lift()
		return
	}
	y := n.y(float64(main))
	n.bars.line(x+barInset, y, x+column-barInset, y)
	n.joins.to(x+barInset, y)
	n.joins.to(x+column-barInset, y)
	if !second.Exists() || math.Abs(float64(second-main)) < 0.05 {
		return
	}
	other := n.y(float64(second))
	n.thin.line(x+thinInset, other, x+column-thinInset, other)
	if moved {
		n.moves.line(x+column/2, other, x+column/2, y)
	}
}

// line draws from one point to another by itself.
func (p *pen) line(x1, y1, x2, y2 float64) {
	p.lift()
	p.to(x1, y1)
	p.to(x2, y2)
	p.lift()
}

// finish writes the paths out.
func (n *lane) finish() {
	n.Bars, n.Thin, n.Moves, n.Joins = n.bars.String(), n.thin.String(), n.moves.String(), n.joins.String()
}
