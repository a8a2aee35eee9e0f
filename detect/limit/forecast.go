package limit

import (
	"math"

	"dubgauge/detect/dsp"
)

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
	Step      *dsp.Long[float32]
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
// magnitudes that each stand for a cell. The levels are read once, and no more of the gains
// is held than a step of the energies needs, so that a set takes no more memory than a song.
func Expect(levels Levels, cell, truePeak float64, e Energies) (f Forecast, ok bool) {
	before := newLoudest(e.PerSecond)
	for i := range e.Step.Len() {
		before.add(float64(*e.Step.At(i)))
	}
	if before.most == 0 || !(truePeak > 0) {
		return f, false
	}
	var rows [len(OverDBs)]*expected
	for k, over := range OverDBs {
		rows[k] = newExpected(float32(truePeak*math.Pow(10, -(over+guardDB)/20)), cell, levels.Len(), e)
	}
	expect(rows[:], levels)
	for k, r := range rows {
		f.Rows[k] = r.row(before.most)
	}
	f.FlatShare = flat(levels, cell, float64(before.from)/e.PerSecond)
	return f, true
}

// flat is the share of the cells of the loudest part, which begins at so many seconds, whose
// highest sample comes within flatDB of the highest of the track.
func flat(levels Levels, cell, from float64) float64 {
	top := float32(0)
	for i := range levels.Len() {
		top = max(top, levels.Sample(i))
	}
	least := top * float32(math.Pow(10, -flatDB/20))
	first := min(int(from/cell), levels.Len()-1)
	last := min(levels.Len(), first+int(loudestS/cell))
	n := 0
	for i := first; i < last; i++ {
		if levels.Sample(i) >= least {
			n++
		}
	}
	return float64(n) / float64(last-first)
}

// loudest finds the highest energy of any loudestS.
type loudest struct {
	ring []float64 // of energies
	at   int
	sum  float64
	n    int
	most float64
	from int // the step at which it begins
}

func newLoudest(perSecond float64) loudest {
	return loudest{ring: make([]float64, int(loudestS*perSecond))}
}

// add takes the energy of the next step in.
func (l *loudest) add(v float64) {
	l.sum += v - l.ring[l.at]
	l.ring[l.at] = v
	if l.at++; l.at == len(l.ring) {
		l.at = 0
	}
	l.n++
	if l.sum > l.most {
		l.most, l.from = l.sum, max(0, l.n-len(l.ring))
	}
}
