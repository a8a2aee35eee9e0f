package limit

import "math"

// expectCells is how many cells are taken at a time.
const expectCells = 1 << 12

// expect takes the levels through rows of one cell length, from the first to the last.
func expect(rows []*expected, levels Levels) {
	n, ahead := levels.Len(), rows[0].ahead
	buf := make([]float32, 0, expectCells)
	for from := -ahead; from < n; from += len(buf) {
		buf = buf[:min(expectCells, n-from)]
		for i := range buf {
			buf[i] = 0 // behind the end there is nothing
			if at := from + ahead + i; at < n {
				buf[i] = levels.At(at)
			}
		}
		for _, r := range rows {
			r.take(buf)
		}
	}
}

// gainBins are the steps in which gains from 0 to 1 are counted: 0.01 dB at 12 dB.
const gainBins = 4096

// expected is a Row on its way: what a limiter does that begins at a level.
type expected struct {
	least     float32
	cells     int // of the track
	perSecond int // cells
	cell      float64
	ahead     int // cells that the limiter looks ahead
	skip      int // of these, how many it has yet to see before the first gain

	hold      sliding
	means     []float64 // ring, of ahead gains
	at        int
	sum, last float64
	let       float64

	n      int       // gains so far
	gains  []float32 // the last of them
	steps  Energies
	step   int     // steps of the energies so far
	each   float64 // cells a step
	after  loudest
	counts [gainBins + 1]int32
	over   int // cells
	second float32
	worst  float32
	atS    float64
}

func newExpected(least float32, cell float64, n int, e Energies) *expected {
	cells := func(s float64) int { return max(1, int(math.Round(s/cell))) }
	x := &expected{least: least, cells: n, perSecond: cells(1), cell: cell, ahead: cells(attackS), hold: newSliding(cells(attackS+holdS) + 1),
		last: 1, let: 1 - math.Exp(-cell/releaseS), steps: e, each: 1 / e.PerSecond / cell, after: newLoudest(e.PerSecond)}
	x.skip, x.sum, x.means = x.ahead, float64(x.ahead), make([]float64, x.ahead)
	for i := range x.means {
		x.means[i] = 1
	}
	return x
}

// take takes the next levels in.
func (x *expected) take(levels []float32) {
	for ; x.skip > 0 && len(levels) > 0; levels = levels[1:] {
		x.hold.push(x.need(levels[0]))
		x.skip--
	}
	first := len(x.gains)
	each := 1 / float64(x.ahead)
	for _, v := range levels {
		x.last = min(x.hold.push(x.need(v)), x.last+x.let*(1-x.last))
		x.sum += x.last - x.means[x.at]
		x.means[x.at] = x.last
		if x.at++; x.at == x.ahead {
			x.at = 0
		}
		x.gains = append(x.gains, float32(min(1, x.sum*each)))
	}
	x.count(x.gains[first:])
	x.energies()
	x.gains = x.gains[:copy(x.gains, x.gains[x.behind():])]
}

// need is the gain that takes a level to the least that is limited.
func (x *expected) need(level float32) float64 {
	if level > x.least {
		return float64(x.least / level)
	}
	return 1
}

// overGain is a reduction of OverDB as a gain.
var overGain = float32(math.Pow(10, -OverDB/20))

// count takes the next gains into what is told of all of them.
func (x *expected) count(gains []float32) {
	for _, g := range gains {
		x.counts[int(g*gainBins)]++
		if g <= overGain {
			x.over++
		}
		x.second += 1 - g
		if x.n++; x.n%x.perSecond == 0 || x.n == x.cells {
			if x.second > x.worst {
				x.worst, x.atS = x.second, float64((x.n-1)/x.perSecond*x.perSecond)*x.cell
			}
			x.second = 0
		}
	}
}

// energies takes the steps whose gains are there.
func (x *expected) energies() {
	for ; x.step < x.steps.Step.Len(); x.step++ {
		last := min(int(float64(x.step+1)*x.each), x.cells-1)
		if last >= x.n {
			return
		}
		x.after.add(float64(*x.steps.Step.At(x.step)) * x.meanSquare(int(float64(x.step)*x.each), last))
	}
}

// behind is how many of the gains no further step needs.
func (x *expected) behind() int {
	start := x.n - len(x.gains)
	return max(0, min(len(x.gains), int(float64(x.step)*x.each)-start))
}

// meanSquare is that of the gains from one cell to another.
func (x *expected) meanSquare(first, last int) float64 {
	if first > last {
		return 1
	}
	start := x.n - len(x.gains)
	sum := 0.0
	for _, g := range x.gains[first-start : last+1-start] {
		sum += float64(g) * float64(g)
	}
	return sum / float64(last+1-first)
}

// row is what came of it; before is the energy of the loudest part without the limiter.
func (x *expected) row(before float64) Row {
	return Row{LossLU: 10 * math.Log10(before/x.after.most), P95DB: reduction(x.lowest(1 - percentile)),
		Over2: float64(x.over) / float64(x.cells), AtS: x.atS}
}

// lowest is the gain under which a share of the cells lies.
func (x *expected) lowest(share float64) float64 {
	below := 0
	for i, n := range x.counts {
		if below += int(n); float64(below) > share*float64(x.cells) {
			return (float64(i) + 0.5) / gainBins
		}
	}
	return 1
}
