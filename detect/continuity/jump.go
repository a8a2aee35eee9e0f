package continuity

import (
	"fmt"
	"math"
	"slices"

	"dubgauge/detect/reason"
)

const (
	// jumpSlots slots of a second each are held against as many behind a jump: enough of the
	// rhythm to know it by. As many beyond them, at least jumpBeyond, tell that it goes on, and
	// how the beat that was found moves in it.
	jumpSlots, jumpBeyond = 8, 4
	// jumpOff is how far off a sixteenth a jump is named, in seconds: under that the arrangement
	// moves the beat by as much in two of 97 clean masters used for fitting. jumpHeard is the
	// same where the rhythms are jumpSame alike: a beat that is off by 6 ms is heard (A. Friberg
	// and J. Sundberg, J. Acoust. Soc. Am. 98(5), 1995: one tone of an even row, under 240 ms apart).
	jumpOff, jumpHeard, jumpSame = 0.0085, 0.006, 0.95
	// jumpLike is the least likeness, a correlation, of the rhythm before a jump and after
	// it, moved, and of both to what lies beyond; jumpBetter how much less alike it must be
	// where it is not moved. jumpSway is how far, in seconds, the beat may move otherwise, and
	// jumpDrift how far it may in jumpSlots all the time, where the tempo is off a little, as a
	// jump itself makes it.
	jumpLike, jumpBetter, jumpSway, jumpDrift = 0.75, 0.4, 0.003, 0.010
	// jumpOneSide is the least likeness where that to what lies beyond one side is less than
	// jumpLike, jumpOther at least.
	jumpOneSide, jumpOther = 0.92, 0.5
	// Up to jumpPlain seconds off, and from driftPlain of drift on, the rhythms must be jumpLiker.
	jumpPlain, driftPlain, jumpLiker = 0.014, 0.006, 0.85
	// Of all that lies before and all that lies behind, which may be unlike just beside the
	// jump, wholeLike and wholeBetter are the same; and wholeSlots on both sides of it must
	// be wholeOwn more like their own side than like the other.
	wholeLike, wholeBetter = 0.85, 0.6
	wholeSlots, wholeOwn   = 12, 0.4
	// wholeGoes slots on both sides must have wholeLeast of what begins in the track in as
	// much time: behind a pause the beat may begin anew.
	wholeGoes, wholeLeast = 4, 0.4
	// jumpsMost is the greatest number of jumps in a track that are none of its own.
	jumpsMost = 2
	// liveLike is the least likeness of the rhythms on both sides of a place for what the beat
	// does there to count, and liveTimes how many times what it does at nine of ten places
	// elsewhere, of liveLeast at least, a jump must be: players, and edits by ear, move it to
	// and fro.
	liveLike, liveTimes, liveLeast = 0.6, 3.0, 10
	// onNear is how near a likeness is to a place, in seconds, jumpSteady how far the beat
	// may move within the rhythm of the first seconds.
	onNear, jumpSteady = 0.003, 0.010
)

// jumps names the places where the beat goes on off the sixteenths that it had: there a
// piece of the music is missing, or there twice. Edits leave out or repeat sixteenths, and
// with another tempo or one that drifts the beat moves on both sides too.
func (m *Meter) jumps(g Grid) []Finding {
	if !g.known() {
		return nil
	}
	slots := m.onsets.phases(g.beat())
	all := jumpsOf(slots, g.beat())
	if len(all) > jumpsMost {
		return nil
	}
	var out []Finding
	for _, j := range all {
		if stands(slots, all, math.Abs(j.seconds), g.beat()) {
			out = append(out, m.jumped(j))
		}
	}
	return out
}

// jumpsOf lists the jumps, of neighbours the one that fits best; where there is none, the one
// that the whole of the track tells.
func jumpsOf(slots []phases, beat float64) (all []jump) {
	best := jump{}
	for i := range slots {
		if best.better > 0 && i >= best.slot+jumpSlots {
			all = append(all, best)
			best = jump{}
		}
		if j := jumpAt(slots, i, beat); j.better > best.better {
			best = j
		}
	}
	if best.better == 0 && all == nil {
		best = wholeJump(slots, beat)
	}
	if best.better > 0 {
		all = append(all, best)
	}
	return all
}

// stands tells whether a jump by so many seconds stands out from how the beat moves where
// there is none.
func stands(slots []phases, all []jump, seconds, beat float64) bool {
	var moves []float64
	for i := jumpSlots; i+jumpSlots < len(slots); i++ {
		if slices.ContainsFunc(all, func(j jump) bool { return i >= j.slot-2*jumpSlots && i <= j.slot+2*jumpSlots }) {
			continue
		}
		before, after := rhythm(slots[i-jumpSlots:i]), rhythm(slots[i+1:i+1+jumpSlots])
		if like, by := likenTop(&before, &after, beat); like >= liveLike {
			moves = append(moves, math.Abs(by))
		}
	}
	slices.Sort(moves)
	return len(moves) < liveLeast || seconds >= liveTimes*moves[len(moves)*9/10]
}

func (m *Meter) jumped(j jump) Finding {
	at := min(float64(j.slot)+0.5, m.seconds(m.total()))
	off := math.Abs(j.seconds)
	return Finding{
		Kind: reason.Jump, At: at, Until: at, Figure: off,
		Detail: fmt.Sprintf("the beat goes on %.0f ms off its grid from about %s on: a piece of the music is missing or there twice", 1000*off, reason.Place(at)),
	}
}

// jump is one of the beat: in which slot, how far off a sixteenth, and how much better the
// rhythms fit with it than without; 0 where there is none.
type jump struct {
	slot            int
	seconds, better float64
}

// jumpAt looks for a jump within slot i.
func jumpAt(slots []phases, i int, beat float64) jump {
	from, to := max(0, i-2*jumpSlots), min(len(slots), i+1+2*jumpSlots)
	if i-from < jumpSlots+jumpBeyond || to-i-1 < jumpSlots+jumpBeyond {
		return jump{}
	}
	before, after := rhythm(slots[i-jumpSlots:i]), rhythm(slots[i+1:i+1+jumpSlots])
	across := liken(&before, &after)
	like, by := across.top(beat)
	if like < jumpLike || math.Abs(by) < jumpHeard-jumpDrift {
		return jump{}
	}
	beyond, behind := rhythm(slots[from:i-jumpSlots]), rhythm(slots[i+1+jumpSlots:to])
	like0, by0 := likenTop(&beyond, &before, beat)
	like1, by1 := likenTop(&after, &behind, beat)
	_, all := likenTop(&beyond, &behind, beat)
	if other := min(like0, like1); other >= jumpOther && other < jumpLike && max(like0, like1) >= jumpOneSide && like >= jumpOneSide {
		by0, by1, like0, like1, all = oneSide(like0, like1, by0, by1, by)
	}
	drift := (by0 + by1) / 2
	apart := func(t float64) float64 { return math.Abs(math.Remainder(t, beat/sixteenths)) }
	off := math.Remainder(by-drift, beat/sixteenths)
	better := like - across.near(drift, max(onNear, beat/phaseBins/2), beat)
	least := min(like, like0, like1)
	if better < jumpBetter || least < leastLike(math.Abs(off), math.Abs(drift)) || apart(by0-by1) > jumpSway || apart(all-by0-by-by1) > jumpSway {
		return jump{}
	}
	return jump{i, off, better}
}

// leastLike is the least likeness of the rhythms for a jump so many seconds off, in a beat that
// drifts by so many.
func leastLike(off, drift float64) float64 {
	switch {
	case off < jumpHeard || drift > jumpDrift:
		return math.Inf(1)
	case off < jumpOff:
		return jumpSame
	case off < jumpPlain || drift > driftPlain:
		return jumpLiker
	}
	return jumpLike
}

// oneSide takes what lies beyond one side of a jump for both, where the rhythm beyond the other
// is another: there the beat tells nothing.
func oneSide(like0, like1, by0, by1, by float64) (drift0, drift1, same0, same1, all float64) {
	like, drift := like0, by0
	if like1 > like0 {
		like, drift = like1, by1
	}
	return drift, drift, like, like, by + 2*drift
}

func likenTop(a, b *phases, beat float64) (like, off float64) {
	l := liken(a, b)
	return l.top(beat)
}

// wholeJump looks for the one jump of a track, by all that lies before each slot and all
// that lies behind it.
func wholeJump(slots []phases, beat float64) (best jump) {
	var before, after phases
	for i := range slots {
		after.add(&slots[i], 1)
	}
	least := wholeLeast * after.sum() / float64(max(1, len(slots)))
	for i := range slots {
		after.add(&slots[i], -1)
		if i >= wholeSlots && len(slots)-i-1 >= wholeSlots && goOn(slots[i-wholeGoes:i], least) && goOn(slots[i+1:i+1+wholeGoes], least) {
			j := sides(before.even(), after.even(), slots[i-wholeSlots:i], slots[i+1:i+1+wholeSlots], beat)
			if j.better > best.better {
				best = j
				best.slot = i
			}
		}
		before.add(&slots[i], 1)
	}
	return best
}

// goOn tells whether things begin in some slots, by a mean of least in each.
func goOn(slots []phases, least float64) bool {
	sum := 0.0
	for i := range slots {
		sum += slots[i].sum()
	}
	return sum >= least*float64(len(slots))
}

// sides looks for a jump between two rhythms with some slots that are next to it. It is the
// better the more these slots are like their own side.
func sides(before, after phases, last, next []phases, beat float64) jump {
	across := liken(&before, &after)
	like, off := across.top(beat)
	within := max(onNear, beat/phaseBins/2)
	better := like - across.near(0, within, beat)
	if like < wholeLike || better < wholeBetter || math.Abs(off) < jumpOff {
		return jump{}
	}
	own := func(all *phases, some []phases, other float64) float64 {
		r := rhythm(some)
		l := liken(all, &r)
		return l.near(0, within, beat) - l.near(other, within, beat)
	}
	a, b := own(&before, last, off), own(&after, next, -off)
	if min(a, b) < wholeOwn {
		return jump{}
	}
	return jump{seconds: off, better: better + a + b}
}
