package tempo

import (
	"math"
	"slices"
)

// A track may go over from one steady tempo to another, by more than a bend follows. Pieces
// of it are then read by themselves; where those before a place agree on one tempo, those
// after it on another, and each side is steady, the tempo changes there; and so on.
const (
	// pieceSeconds is the length of a piece: some fifty beats. Pieces of shortSeconds may tell of more
	// changes: of a part of 40 s that changes within a piece at either end one of the first is whole,
	// and two of the second.
	pieceSeconds = 24
	shortSeconds = 12
	// sideCoherence is that which both sides need; a band that plays by hand measures 0.2
	// over half a minute, machines 0.9.
	sideCoherence = 0.75
	// sidesMost is the greatest number of sides that are named: a set that is mixed has more.
	sidesMost = 8
)

// side is a part of the track that holds one tempo.
type side struct {
	from, to int // values of the onset curve
	reading
}

// changed are the sides of a track whose tempo changes, two at least; nil for none.
func (a *analysis) changed() []side {
	long, short := a.changedBy(pieceSeconds), a.changedBy(shortSeconds)
	if len(short) > len(long) {
		return short
	}
	return long
}

// changedBy are the sides that pieces of so many seconds tell of.
func (a *analysis) changedBy(seconds float64) []side {
	n := int(seconds / a.step)
	runs := splitPieces(a.pieceTempi(n))
	if len(runs) < 2 || len(runs) > sidesMost {
		return nil
	}
	sides := make([]side, len(runs))
	for i, r := range runs {
		sides[i] = side{r.from * n, r.to * n, a.cut(r.from*n, r.to*n).read()}
	}
	sides[0].from, sides[len(sides)-1].to = 0, len(a.total)
	sameLevel(sides)
	if !plainSides(sides) {
		return nil
	}
	// The piece that holds a change belongs to neither side until it is placed.
	for i := 1; i < len(sides); i++ {
		before, after := &sides[i-1], &sides[i]
		at := a.place(&before.reading, &after.reading, max(before.from, before.to-n), min(after.to, after.from+n))
		before.to, after.from = at, at
	}
	for i := range sides {
		s := &sides[i]
		if float64(s.to-s.from)*a.step < pieceSeconds {
			return nil
		}
		s.reading = a.cut(s.from, s.to).readAs(s.found)
	}
	if !plainSides(sides) {
		return nil
	}
	return sides
}

// sameLevel counts all sides at the level of the one that is held longest: a beat that is read at
// half or double in a part has not changed by so much.
func sameLevel(sides []side) {
	like := longestSide(sides).pulse.hz
	for i := range sides {
		s := &sides[i]
		if by := math.Round(math.Log2(like / s.pulse.hz)); by != 0 {
			s.found.bpm *= math.Exp2(by)
			s.pulse = refine(s.total, s.step, s.found.bpm/60)
		}
	}
}

// plainSides tells whether all sides are steady and each of another tempo than the last.
func plainSides(sides []side) bool {
	for i := range sides {
		if sides[i].pulse.coherence < sideCoherence || i > 0 && !another(sides[i-1].pulse.hz, sides[i].pulse.hz) {
			return false
		}
	}
	return true
}

// cut is the analysis of the values from one to another.
func (a *analysis) cut(from, to int) *analysis {
	out := &analysis{start: a.start + float64(from)*a.step, step: a.step, total: a.total[from:to], levels: a.levels, origin: a.origin, opened: a.opened}
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

// place is the value, from one to another, at which one beat ends and another begins: the
// maximum of what speaks for the first before it and for the second after it, each by its
// mean beat.
//
//	max over t of  sum over i < t of x(i) (A(i) - B(i))
func (a *analysis) place(one, other *reading, from, to int) int {
	before, after := one.meanBeat(), other.meanBeat()
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

// longestSide is the side whose tempo is held longest, all of that tempo together; of those, the
// longest.
func longestSide(sides []side) *side {
	best, most := &sides[0], 0.0
	for i := range sides {
		held := sides[i].duration() / 1e6 // decides between sides of one tempo
		for j := range sides {
			if !another(sides[i].pulse.hz, sides[j].pulse.hz) {
				held += sides[j].duration()
			}
		}
		if held > most {
			best, most = &sides[i], held
		}
	}
	return best
}

// changes fills in what changes add to the tempo that is held longest: by how much the others
// differ, and where they begin.
func (r *Result) changes(sides []side) {
	var bpm []float64
	for i := range sides {
		bpm = append(bpm, 60*sides[i].pulse.hz)
		if i > 0 {
			r.Changes = append(r.Changes, Change{At: sides[i].start, From: bpm[i-1], To: bpm[i]})
		}
	}
	r.ChangeAt, r.ChangeFrom, r.ChangeTo = r.Changes[0].At, r.Changes[0].From, r.Changes[0].To
	r.DriftFrom = r.ChangeAt
	r.DriftPercent = 100 * (slices.Max(bpm) - slices.Min(bpm)) / r.BPM
}
