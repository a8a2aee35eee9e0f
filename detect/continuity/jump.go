package continuity

import (
	"fmt"
	"math"

	"dubgauge/detect/reason"
)

const (
	// phaseBins parts of a beat are told apart, 5 ms at 125 BPM.
	phaseBins = 96
	// jumpSlots slots of a second each lie on each side of a jump: enough of the rhythm to
	// know it by, and as many beyond them to see that it goes on.
	jumpSlots = 8
	// jumpLike is the least likeness, a correlation, of the rhythm before a jump and after
	// it, moved; jumpBetter how much less alike it must be where it is not moved off the
	// sixteenths. Players who push and drag get near both: it is a note.
	jumpLike, jumpBetter = 0.8, 0.5
	// jumpSame is the least likeness of the rhythm on one side of a jump to what lies beyond.
	jumpSame = 0.6
	// jumpOff is how far off a sixteenth a jump is no edit, in seconds, jumpSteady how far
	// the beat may move within the rhythm on one side of it.
	jumpOff, jumpSteady = 0.014, 0.010
)

// phases is when in the beat things begin, in phaseBins of it.
type phases [phaseBins]float64

// jumps names the places where the beat goes on off the sixteenths that it had: there a
// piece of the music is missing, or there twice. Edits leave out or repeat sixteenths, and
// with another tempo or one that drifts the beat moves on both sides too.
func (m *Meter) jumps(g Grid) []Finding {
	if !g.known() {
		return nil
	}
	slots := m.onsets.phases(g.beat())
	var out []Finding
	best, bestAt := jump{}, -1
	for i := 2 * jumpSlots; i+2*jumpSlots <= len(slots); i++ {
		if j := jumpAt(slots, i, g.beat()); j.better > best.better {
			best, bestAt = j, i
		}
		if bestAt >= 0 && i >= bestAt+jumpSlots {
			out = append(out, m.jumped(best, bestAt))
			best, bestAt = jump{}, -1
		}
	}
	if bestAt >= 0 {
		out = append(out, m.jumped(best, bestAt))
	}
	return out
}

func (m *Meter) jumped(j jump, slot int) Finding {
	at := min(float64(slot), m.seconds(m.total()))
	return Finding{
		Kind: reason.Jump, At: at, Until: at, Figure: j.seconds,
		Detail: fmt.Sprintf("the beat goes on %.0f ms off its grid from about %s on: a piece of the music is missing or there twice", 1000*j.seconds, reason.Place(at)),
	}
}

// phases sums up what begins when in a beat of so many seconds, for each whole second.
func (o *onsets) phases(beat float64) []phases {
	slots := make([]phases, int(float64(len(o.rises))*o.seconds))
	for i, r := range o.rises {
		t := (float64(i) + 0.5) * o.seconds
		if s := int(t); s < len(slots) {
			_, part := math.Modf(t / beat)
			slots[s][int(part*phaseBins)] += float64(r)
		}
	}
	return slots
}

// rhythm is the sum of some slots without their mean, smoothed over three bins, and of a
// sum of squares of 1.
func rhythm(slots []phases) phases {
	var sum, out phases
	for i := range slots {
		for b, v := range slots[i] {
			sum[b] += v
		}
	}
	mean, squares := 0.0, 0.0
	for b := range sum {
		out[b] = (sum[(b+phaseBins-1)%phaseBins] + 2*sum[b] + sum[(b+1)%phaseBins]) / 4
		mean += out[b] / phaseBins
	}
	for b := range out {
		out[b] -= mean
		squares += out[b] * out[b]
	}
	if squares > 0 {
		for b := range out {
			out[b] /= math.Sqrt(squares)
		}
	}
	return out
}

// jump is one of the beat: how far off a sixteenth, and how much better the rhythms fit
// with it than without.
type jump struct{ seconds, better float64 }

// jumpAt looks for a jump between slots i-1 and i.
func jumpAt(slots []phases, i int, beat float64) jump {
	before, after := rhythm(slots[i-jumpSlots:i]), rhythm(slots[i:i+jumpSlots])
	on, off, by := moved(&before, &after, beat)
	if off < jumpLike || off-on < jumpBetter {
		return jump{}
	}
	for _, pair := range [][2]phases{
		{rhythm(slots[i-2*jumpSlots : i-jumpSlots]), before}, {after, rhythm(slots[i+jumpSlots : i+2*jumpSlots])},
	} {
		if on, off, _ := moved(&pair[0], &pair[1], beat); on < off || on < jumpSame {
			return jump{}
		}
	}
	return jump{by, off - on}
}

// moved correlates two rhythms at all distances: on is the best likeness on the sixteenths
// (and jumpSteady beside them), off that which is best jumpOff and more beside them, and by
// how far off that is.
func moved(a, b *phases, beat float64) (on, off, by float64) {
	for d := range phaseBins {
		sum := 0.0
		for k, v := range a {
			sum += v * b[(k+d)%phaseBins]
		}
		beside := math.Abs(math.Remainder(float64(d)/phaseBins*beat, beat/sixteenths))
		if beside <= jumpSteady {
			on = max(on, sum)
		}
		if beside >= jumpOff && sum > off {
			off, by = sum, beside
		}
	}
	return on, off, by
}
