package continuity

import (
	"fmt"
	"math"
	"slices"

	"dubgauge/detect/reason"
)

const (
	// swapBlocks are looked at on each side of a place where the channels may change
	// sides, 4 s, and swapLeast of them must be heard.
	swapBlocks, swapLeast = 16, 10
	// A swap turns the balance of every band into its opposite: the bands must have
	// turned by swapSure standard deviations together, more than they lie off the
	// opposite, and that by swapOff at most, a mean square of such deviations.
	swapSure, swapOff = 5.0, 2.0
	// swapRest is how far the balance of 4 s is off by chance, in dB, beside what its
	// blocks show.
	swapRest = 0.15
	// swapNear blocks beside the two places must show swapOnce of what 4 s do, as a mean:
	// who pans from side to side takes longer. Of masters used for fitting one that is panned
	// has 0.87, those whose channels were exchanged 0.94 and more.
	swapNear, swapOnce = 4, 0.9
	// swapCorr is how far the correlation of the channels may move, which a swap leaves.
	swapCorr = 0.15
	// swapShortest is the shortest such part, in seconds: instruments that answer each
	// other from two sides do so for a bar or two.
	swapShortest = 6.0
)

// swapped names the parts in which left and right have changed sides.
func (m *Meter) swapped(ws []weigh) []Finding {
	var out []Finding
	turns := slices.DeleteFunc(turnsOf(ws), leansAnyway(ws))
	for i := 0; i+1 < len(turns); i++ {
		a, b := turns[i], turns[i+1]
		from, to := float64(a.at)*m.blocks.seconds, float64(b.at)*m.blocks.seconds
		if !a.opposite(b) || a.once+b.once < 2*swapOnce || to-from < swapShortest || float64(b.at-a.at) > partMost*float64(len(ws)) {
			continue
		}
		out = append(out, Finding{
			Kind: reason.SwappedPart, At: from, Until: to, Figure: to - from,
			Detail: fmt.Sprintf("left and right have changed sides for %s from %s", span(to-from), reason.Place(from)),
		})
		i++
	}
	return out
}

// turn is a place where the balance of the bands turns into its opposite.
type turn struct {
	at     int
	sure   float64
	once   float64    // how much of it the nearest second shows
	right  bool       // all that a swap leaves is as it was
	before [3]float64 // the balance, in dB
}

// leansAnyway tells of turns that are within what the balance moves in the course of the
// track in every band: of a mix that leans to and fro some are opposites by chance.
func leansAnyway(ws []weigh) func(turn) bool {
	own := [3]float64{wander(ws, heard, restOf), wander(ws, heard, topOf), wander(ws, speaks, lowOf)}
	return func(t turn) bool {
		for k, b := range t.before {
			if b != 0 && math.Abs(b) >= wanderMost*own[k] {
				return false
			}
		}
		return true
	}
}

// opposite tells whether what turns at b is what a has made.
func (t turn) opposite(b turn) bool {
	sum, diff := 0.0, 0.0
	for k := range t.before {
		sum += (t.before[k] + b.before[k]) * (t.before[k] + b.before[k])
		diff += (t.before[k] - b.before[k]) * (t.before[k] - b.before[k])
	}
	return sum < diff/4
}

// turnsOf lists the turns, of neighbours the surest.
func turnsOf(ws []weigh) []turn {
	var out []turn
	for i := range ws {
		t := turnAt(ws, i)
		if t.sure == 0 {
			continue
		}
		if k := len(out) - 1; k >= 0 && t.at-out[k].at <= swapBlocks/2 {
			if t.sure > out[k].sure {
				out[k] = t
			}
			continue
		}
		out = append(out, t)
	}
	return slices.DeleteFunc(out, func(t turn) bool { return !t.right })
}

// turnAt looks at block i; where the bands don't turn, sure is 0.
func turnAt(ws []weigh, i int) turn {
	all := [2][]weigh{stretchOf(ws, i-1, -1, swapBlocks, swapBlocks, heard), stretchOf(ws, i+1, 1, swapBlocks, swapBlocks, heard)}
	if min(len(all[0]), len(all[1])) < swapLeast {
		return turn{}
	}
	t := turn{at: i}
	off, turned, n := 0.0, 0.0, 0.0
	for k, of := range []func(*weigh) float64{restOf, topOf, lowOf} {
		sides := all
		if k == 2 {
			sides = [2][]weigh{stretchOf(ws, i-1, -1, swapBlocks, swapBlocks, speaks), stretchOf(ws, i+1, 1, swapBlocks, swapBlocks, speaks)}
			if min(len(sides[0]), len(sides[1])) < swapLeast {
				continue
			}
		}
		a, v0 := spread(sides[0], of)
		b, v1 := spread(sides[1], of)
		v := (v0/float64(len(sides[0])) + v1/float64(len(sides[1]))) + 2*swapRest*swapRest
		t.before[k] = a
		turned += (b - a) * (b - a) / v
		off += (b + a) * (b + a) / v
		n++
	}
	if turned-off >= swapSure*swapSure {
		t.sure, t.once = math.Sqrt(turned-off), atOnce(all)
		t.right = off <= swapOff*n && crossed(all) && change(all, func(w *weigh) float64 { return w.corr }) <= swapCorr
	}
	return t
}

// atOnce is how much of a turn of the balance the blocks beside it show.
func atOnce(sides [2][]weigh) float64 {
	near := [2][]weigh{sides[0][:swapNear], sides[1][:swapNear]}
	turned, all := 0.0, 0.0
	for _, of := range []func(*weigh) float64{restOf, topOf} {
		d := bandStep(sides, of, 0).db
		all += d * d
		turned += d * bandStep(near, of, 0).db
	}
	if all < swapRest*swapRest { // the low end alone tells
		return 1
	}
	return turned / all
}

// crossed tells whether each channel goes on with the levels of the other.
func crossed(sides [2][]weigh) bool {
	for c := range 2 {
		for b := range len(sides[0][0].levels[c]) {
			before, _ := mean(sides[0], heard, func(w *weigh) float64 { return w.levels[c][b] })
			after, _ := mean(sides[1], heard, func(w *weigh) float64 { return w.levels[1-c][b] })
			if math.Abs(after-before) > sameLevel {
				return false
			}
		}
	}
	return true
}
