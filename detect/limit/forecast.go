package limit

import "math"

// OverDBs are the gains that a Forecast is made for: by how many dB they take the highest
// true peak of a track over the ceiling. What lies between is read off by straight lines.
var OverDBs = [...]float64{1, 2, 3, 4, 6, 8, 10, 12}

// Forecast says what the Limiter would take off a track, without running it: a row for
// each of OverDBs. Its errors against the limiter stand in a test.
type Forecast struct {
	Rows [len(OverDBs)]Row
	// FlatShare is the share of the loudest 30 s, by cells, that touches the top: what a
	// limiter or a clipper has done already. 0 to 1.
	FlatShare float64
}

// Row is what limiting at one gain does.
type Row struct {
	LossLU float64 // how much quieter than without it the loudest 30 s become
	P95DB  float64 // see Reduction
	Over2  float64
	AtS    float64 // where the second begins in which most is taken off on the mean
}

// Levels are the highest magnitudes of a track in each cell of samples: with what lies
// between the samples, and of the samples alone.
type Levels interface {
	Len() int
	At(i int) float32
	Sample(i int) float32
}

// Energies are K-weighted energies on a regular grid.
type Energies struct {
	Step      []float32
	PerSecond float64
}

// loudestS is the length of the part whose loudness counts, in seconds.
const loudestS = 30

// flatDB is how near to the top a cell counts as flat: what dither, a sample's place on a
// peak and the resolution of the levels leave of a flat top. Ours, no source.
const flatDB = 0.25

// Expect makes the forecast; ok is false for silence. cell is the length of a cell in
// seconds, truePeak the highest magnitude of the track between the samples too.
//
// It is the Limiter on the grid of the cells: the same hold, release and mean on
// magnitudes that each stand for a cell.
func Expect(levels Levels, cell, truePeak float64, e Energies) (f Forecast, ok bool) {
	x := expectation{levels: make([]float32, levels.Len()), cell: cell, energies: e, gains: make([]float32, levels.Len()),
		ring: make([]float64, int(loudestS*e.PerSecond))}
	for i := range x.levels {
		x.levels[i] = levels.At(i)
	}
	before, from := x.loudest(nil)
	if before == 0 || !(truePeak > 0) {
		return f, false
	}
	for k, over := range OverDBs {
		f.Rows[k] = x.row(float32(truePeak*math.Pow(10, -(over+guardDB)/20)), before)
	}
	f.FlatShare = x.flat(levels, from)
	return f, true
}

// expectation is a Forecast on its way.
type expectation struct {
	levels   []float32
	cell     float64
	energies Energies
	gains    []float32
	ring     []float64 // of energies
	counts   [gainBins + 1]int32
}

// gainBins are the steps in which gains from 0 to 1 are counted: 0.01 dB at 12 dB.
const gainBins = 4096

// row is what a limiter does that begins at a level.
func (x *expectation) row(least float32, before float64) Row {
	x.limit(least)
	after, _ := x.loudest(x.gains)
	r := Row{LossLU: 10 * math.Log10(before/after)}
	clear(x.counts[:])
	perSecond := max(1, int(math.Round(1/x.cell)))
	worst, second, over := float32(0), float32(0), 0
	for i, g := range x.gains {
		x.counts[int(g*gainBins)]++
		if g <= overGain {
			over++
		}
		second += 1 - g
		if i%perSecond == perSecond-1 || i == len(x.gains)-1 {
			if second > worst {
				worst, r.AtS = second, float64(i/perSecond*perSecond)*x.cell
			}
			second = 0
		}
	}
	r.Over2 = float64(over) / float64(len(x.gains))
	r.P95DB = reduction(x.lowest(1 - percentile))
	return r
}

// overGain is a reduction of OverDB as a gain.
var overGain = float32(math.Pow(10, -OverDB/20))

// lowest is the gain under which a share of the cells lies.
func (x *expectation) lowest(share float64) float64 {
	below := 0
	for i, n := range x.counts {
		if below += int(n); float64(below) > share*float64(len(x.gains)) {
			return (float64(i) + 0.5) / gainBins
		}
	}
	return 1
}

// flat is the share of the cells of the loudest part, which begins at step from, whose
// highest sample comes within flatDB of the highest of the track.
func (x *expectation) flat(levels Levels, from int) float64 {
	top := float32(0)
	for i := range levels.Len() {
		top = max(top, levels.Sample(i))
	}
	least := top * float32(math.Pow(10, -flatDB/20))
	first := min(int(float64(from)/x.energies.PerSecond/x.cell), levels.Len()-1)
	last := min(levels.Len(), first+int(loudestS/x.cell))
	n := 0
	for i := first; i < last; i++ {
		if levels.Sample(i) >= least {
			n++
		}
	}
	return float64(n) / float64(last-first)
}

// limit works out the gain of each cell.
func (x *expectation) limit(least float32) {
	cells := func(s float64) int { return max(1, int(math.Round(s/x.cell))) }
	attack := cells(attackS)
	s := newSliding(cells(attackS+holdS) + 1)
	means, at := make([]float64, attack), 0
	for i := range means {
		means[i] = 1
	}
	sum, each := float64(attack), 1/float64(attack)
	let := 1 - math.Exp(-x.cell/releaseS)
	last := 1.0
	need := func(i int) float64 {
		if i < len(x.levels) && x.levels[i] > least {
			return float64(least / x.levels[i])
		}
		return 1
	}
	for i := range attack {
		s.push(need(i))
	}
	for i := range x.gains {
		last = min(s.push(need(i+attack)), last+let*(1-last))
		sum += last - means[at]
		means[at] = last
		if at++; at == attack {
			at = 0
		}
		x.gains[i] = float32(min(1, sum*each))
	}
}

// loudest is the highest energy of any loudestS under the gains, nil being 1, and the step
// at which it begins.
func (x *expectation) loudest(gains []float32) (most float64, from int) {
	perStep := 1 / x.energies.PerSecond / x.cell
	clear(x.ring)
	sum, at := 0.0, 0
	for i, e := range x.energies.Step {
		v := float64(e)
		if gains != nil {
			v *= meanSquare(gains, float64(i)*perStep, float64(i+1)*perStep)
		}
		sum += v - x.ring[at]
		x.ring[at] = v
		if at++; at == len(x.ring) {
			at = 0
		}
		if sum > most {
			most, from = sum, max(0, i+1-len(x.ring))
		}
	}
	return most, from
}

// meanSquare is that of the gains from one place to another, in cells.
func meanSquare(gains []float32, from, to float64) float64 {
	first, last := int(from), min(int(to), len(gains)-1)
	if first > last {
		return 1
	}
	sum := 0.0
	for _, g := range gains[first : last+1] {
		sum += float64(g) * float64(g)
	}
	return sum / float64(last+1-first)
}
