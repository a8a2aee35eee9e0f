package tempo

import (
	"math"
	"slices"

	"dubgauge/detect/dsp"
)

// A track may go over from one steady tempo to another, by more than a bend follows. Pieces
// of it are then read by themselves; where those before a place agree on one tempo, those
// after it on another, and each side is steady, the tempo changes there.
const (
	// pieceSeconds is the length of a piece: some fifty beats.
	pieceSeconds = 24
	// sideLeast is the least number of pieces on a side.
	sideLeast = 2
	// sameShare is how far, as a fraction, pieces of one tempo may lie from their median, and
	// sideAgree the share of a side that must: a break without drums may lie elsewhere.
	sameShare = 0.004
	sideAgree = 0.75
	// changeShare is the least change, as a fraction, and levelShare how near to another
	// level of the same tempo (half, double, two thirds) it may not come.
	changeShare = 0.012
	levelShare  = 0.015
	// sideCoherence is that which both sides need; a band that plays by hand measures 0.2
	// over half a minute, machines 0.9.
	sideCoherence = 0.75
)

// change is a place where one steady tempo follows another.
type change struct {
	value         int // of the onset curve
	before, after reading
}

// changed looks for a change of tempo; nil for none.
func (a *analysis) changed() *change {
	n := int(pieceSeconds / a.step)
	pieces := a.pieceTempi(n)
	s := splitPieces(pieces)
	if s == 0 {
		return nil
	}
	// The piece that holds the change belongs to neither side until it is placed.
	c := &change{before: a.cut(0, s*n).read(), after: a.cut(s*n, len(a.total)).read()}
	if from := a.cut((s+1)*n, len(a.total)); len(pieces)-s > sideLeast {
		c.after = from.read()
	}
	if !c.plain() {
		return nil
	}
	c.value = a.place(c, max(0, (s-1)*n), min(len(a.total), (s+2)*n))
	c.before, c.after = a.cut(0, c.value).readAs(c.before.found), a.cut(c.value, len(a.total)).readAs(c.after.found)
	if !c.plain() {
		return nil
	}
	return c
}

// plain tells whether both sides are steady and of different tempi.
func (c *change) plain() bool {
	return c.before.pulse.coherence >= sideCoherence && c.after.pulse.coherence >= sideCoherence &&
		another(60*c.before.pulse.hz, 60*c.after.pulse.hz)
}

// cut is the analysis of the values from one to another.
func (a *analysis) cut(from, to int) *analysis {
	out := &analysis{start: a.start + float64(from)*a.step, step: a.step, total: a.total[from:to]}
	for p, x := range a.part {
		out.part[p] = x[from:to]
	}
	return out
}

// readAs reads the analysis near a tempo that is known.
func (a *analysis) readAs(f found) reading {
	return reading{a, f, refine(a.total, a.step, f.bpm/60)}
}

// pieceTempi are the beats per minute of pieces of n values; what is left over at the end
// is no piece.
func (a *analysis) pieceTempi(n int) (bpm []float64) {
	for i := 0; i+n <= len(a.total); i += n {
		bpm = append(bpm, newPeriodicity(a.total[i:i+n], a.step).search().bpm)
	}
	return bpm
}

// splitPieces is the first piece after the change, of the split that most pieces agree
// with; 0 for none.
func splitPieces(bpm []float64) int {
	best, most := 0, 0
	for s := sideLeast; s+sideLeast <= len(bpm); s++ {
		a, na := mode(bpm[:s])
		b, nb := mode(bpm[s:])
		if float64(na) < sideAgree*float64(s) || float64(nb) < sideAgree*float64(len(bpm)-s) || !another(a, b) {
			continue
		}
		if na+nb > most {
			best, most = s, na+nb
		}
	}
	return best
}

// mode is the tempo that most agree with, and their number.
func mode(bpm []float64) (tempo float64, n int) {
	for _, v := range bpm {
		var near []float64
		for _, w := range bpm {
			if math.Abs(w/v-1) <= sameShare {
				near = append(near, w)
			}
		}
		if len(near) > n {
			tempo, n = dsp.Median(near), len(near)
		}
	}
	return tempo, n
}

// another tells whether b is another tempo than a, and not another level of it.
func another(a, b float64) bool {
	if math.Abs(b/a-1) < changeShare {
		return false
	}
	for _, r := range ratios {
		if math.Abs(b/a/r-1) < levelShare {
			return false
		}
	}
	return true
}

// place is the value, from one to another, at which the beat of before ends and that of
// after begins: the maximum of what speaks for the first before it and for the second
// after it, each by its mean beat.
//
//	max over t of  sum over i < t of x(i) (A(i) - B(i))
func (a *analysis) place(c *change, from, to int) int {
	before, after := c.before.meanBeat(), c.after.meanBeat()
	sum, most, best := 0.0, math.Inf(-1), from
	for i := from; i < to; i++ {
		if sum > most {
			most, best = sum, i
		}
		t := a.start + float64(i)*a.step
		sum += a.total[i] * (before(t) - after(t))
	}
	return best
}

// meanBeat is the curve's mean beat at a time in seconds, less its mean, of length 1.
func (b *reading) meanBeat() func(t float64) float64 {
	y := smooth(fold(b.total, b.step, b.pulse.hz, foldBins), 2)
	mean, norm := 0.0, 0.0
	for _, v := range y {
		mean += v / foldBins
	}
	for i := range y {
		y[i] -= mean
		norm += y[i] * y[i]
	}
	norm = max(math.Sqrt(norm), 1e-300)
	return func(t float64) float64 {
		turn := wrap((t - b.start) * b.pulse.hz)
		return y[int(turn*foldBins)%foldBins] / norm
	}
}

// longer is the side that lasts longer.
func (c *change) longer() *reading {
	if c.before.duration() >= c.after.duration() {
		return &c.before
	}
	return &c.after
}

// tempo fills in what a change adds to the tempo of the longer side: by how much the other
// differs, and where.
func (c *change) tempo(r *Result) {
	lo, hi := 60*c.before.pulse.hz, 60*c.after.pulse.hz
	r.ChangeAt = c.after.start
	r.ChangeFrom, r.ChangeTo = lo, hi
	r.DriftFrom = r.ChangeAt
	both := []float64{lo, hi}
	r.DriftPercent = 100 * (slices.Max(both) - slices.Min(both)) / r.BPM
}
