package continuity

import (
	"fmt"
	"math"
	"slices"

	"dubgauge/detect/reason"
)

const (
	// stepBlocks are looked at on each side of an edge, 2 s, those of them with a low end
	// within stepReach.
	stepBlocks, stepReach = 8, 24
	// stepLeast is the least number of them.
	stepLeast = 3
	// stepDB is the least step of a gain that is worth a word. A gain moves all bands at once and alike: the
	// mean step of the bands, weighted by how sure each of them is, must be stepSure of its
	// own standard deviations, and no band may lie stepOff of its own beside it.
	stepDB, stepSure, stepOff = 2.0, 4.0, 3.0
	// stepLow is how far the low end varies by itself at least, in dB, stepRest the rest and
	// the top, where instruments lie on either side.
	stepLow, stepRest = 0.2, 0.7
	// stepStill is the standard deviation, in dB, up to which kick and bass are in one place
	// and tell a gain without the rest, which an instrument may enter just there.
	stepStill = 0.4
	// partLeast is the shortest part with another balance, in seconds, and partMost the
	// greatest share of the track: more is the rule, not the exception. partSame is how
	// far its two edges may differ, in dB.
	partLeast, partMost, partSame = 2.5, 0.6, 0.9
	// flipped is the correlation, in the low end, on both sides of where a channel turns
	// upside down, and flipSame how far that of the rest may be off its own opposite.
	flipped, flipSame = 0.6, 0.4
	// flipBlocks is what is looked at there, and so the shortest such part.
	flipBlocks = 3
)

// step is a change at once of what lies before and after a block.
type step struct {
	at   int // the block
	db   float64
	rank float64 // of neighbours the one with the greatest is the edge
}

// stretchOf gives up to n blocks that pass, going from block i on in a direction.
func stretchOf(ws []weigh, i, direction, n, reach int, pass func(*weigh) bool) []weigh {
	var out []weigh
	for k := 0; k < reach && i >= 0 && i < len(ws) && len(out) < n; k++ {
		if pass(&ws[i]) {
			out = append(out, ws[i])
		}
		i += direction
	}
	return out
}

func heard(w *weigh) bool  { return w.heard }
func speaks(w *weigh) bool { return w.heard && w.speaks }

// spread gives mean and variance.
func spread(ws []weigh, of func(*weigh) float64) (mean, variance float64) {
	for i := range ws {
		mean += of(&ws[i])
	}
	n := float64(len(ws))
	mean /= n
	for i := range ws {
		d := of(&ws[i]) - mean
		variance += d * d / n
	}
	return mean, variance
}

// stepAt measures the step at block i: of the low end, and of the rest and the top
// right beside the block. It is of 0 dB where it is none of a gain.
func stepAt(ws []weigh, i int) step {
	low := [2][]weigh{stretchOf(ws, i-1, -1, stepBlocks, stepReach, speaks), stretchOf(ws, i+1, 1, stepBlocks, stepReach, speaks)}
	all := [2][]weigh{stretchOf(ws, i-1, -1, stepBlocks, stepBlocks, heard), stretchOf(ws, i+1, 1, stepBlocks, stepBlocks, heard)}
	if min(len(low[0]), len(low[1]), len(all[0]), len(all[1])) < stepLeast {
		return step{}
	}
	var steps, vars [3]float64
	weights, mean := 0.0, 0.0
	for b, of := range []func(*weigh) float64{
		lowOf, func(w *weigh) float64 { return w.rest }, func(w *weigh) float64 { return w.top },
	} {
		side, floor := all, stepRest
		if b == 0 {
			side, floor = low, stepLow
		}
		before, v0 := spread(side[0], of)
		after, v1 := spread(side[1], of)
		steps[b] = after - before
		vars[b] = (v0+floor*floor)/float64(len(side[0])) + (v1+floor*floor)/float64(len(side[1]))
		weights += 1 / vars[b]
		mean += steps[b] / vars[b]
	}
	rank := math.Abs(2*steps[0] + steps[1] + steps[2])
	if solid(low) {
		if math.Abs(steps[0]) < stepDB {
			return step{}
		}
		return step{i, steps[0], rank}
	}
	mean /= weights
	if math.Abs(mean) < stepDB || mean*mean*weights < stepSure*stepSure {
		return step{}
	}
	for b := range steps {
		if off := steps[b] - mean; off*off > stepOff*stepOff*vars[b]+stepRest*stepRest {
			return step{}
		}
	}
	return step{i, mean, rank}
}

// solid tells that the low end on both sides lies so still that it alone tells.
func solid(sides [2][]weigh) bool {
	for _, ws := range sides {
		if _, v := spread(ws, lowOf); len(ws) < stepBlocks || v > stepStill*stepStill {
			return false
		}
	}
	return true
}

func lowOf(w *weigh) float64 { return w.low }

// steps lists the steps of a gain, of neighbours whose windows reach over the same edge
// one.
func steps(ws []weigh) []step {
	var out []step
	for i := range ws {
		s := stepAt(ws, i)
		if s.db == 0 {
			continue
		}
		if k := len(out) - 1; k >= 0 && s.at-out[k].at <= stepBlocks && s.db*out[k].db > 0 {
			if s.rank > out[k].rank {
				out[k] = s
			}
			continue
		}
		out = append(out, s)
	}
	return out
}

// parts names those in which a gain has moved the balance and back.
func (m *Meter) parts(ws []weigh) []Finding {
	var out []Finding
	all := steps(ws)
	for i := 0; i < len(all); i++ {
		j := closing(ws, all, i)
		if j < 0 || float64(all[j].at-all[i].at)*m.blocks.seconds < partLeast {
			continue
		}
		a, b := all[i], all[j]
		d, at, until := (a.db-b.db)/2, float64(a.at)*m.blocks.seconds, float64(b.at)*m.blocks.seconds
		out = append(out, Finding{
			Kind: reason.WeakPart, At: at, Until: until, Figure: math.Abs(d),
			Detail: fmt.Sprintf("the %s channel is %.1f dB weaker than in the rest of the track for %s from %s", weaker(d), math.Abs(d), span(until-at), reason.Place(at)),
		})
		i = j
	}
	return out
}

// closing finds the step that takes back that in place i, -1 if there is none: between the
// two the low end lies off by as much as they say.
func closing(ws []weigh, all []step, i int) int {
	a := all[i]
	for j := i + 1; j < len(all) && float64(all[j].at-a.at) <= partMost*float64(len(ws)); j++ {
		b := all[j]
		if math.Abs(a.db+b.db) > partSame {
			continue
		}
		inside, n := lowMean(ws[a.at+1 : b.at])
		before, n0 := lowMean(ws[max(0, a.at-stepReach):a.at])
		after, n1 := lowMean(ws[b.at+1 : min(len(ws), b.at+1+stepReach)])
		if min(n, n0, n1) > 0 && math.Abs(inside-(before+after)/2-(a.db-b.db)/2) <= partSame {
			return j
		}
	}
	return -1
}

// lowMean is the mean balance of the low end, over so many blocks that tell it.
func lowMean(ws []weigh) (db float64, n int) {
	for i := range ws {
		if speaks(&ws[i]) {
			db += ws[i].low
			n++
		}
	}
	return db / float64(max(1, n)), n
}

// flips names the parts in which one channel is upside down.
func (m *Meter) flips(ws []weigh) []Finding {
	var out []Finding
	from := -1
	for i := range ws {
		switch d := flipAt(ws, i); {
		case d < 0 && from < 0:
			from = i
		case d > 0 && from >= 0:
			out = append(out, m.flip(ws[from:i], float64(from)*m.blocks.seconds, float64(i)*m.blocks.seconds))
			from = -1
		}
	}
	return out
}

// flipAt is -1 where a channel turns upside down, 1 where it comes back, else 0.
func flipAt(ws []weigh, i int) int {
	before, after := stretchOf(ws, i-1, -1, flipBlocks, stepReach, speaks), stretchOf(ws, i+1, 1, flipBlocks, stepReach, speaks)
	if min(len(before), len(after)) < flipBlocks {
		return 0
	}
	of := func(w *weigh) float64 { return w.lowC }
	a, _ := spread(before, of)
	b, _ := spread(after, of)
	if math.Abs(a) < flipped || math.Abs(b) < flipped || a*b > 0 {
		return 0
	}
	rest := func(w *weigh) float64 { return w.corr }
	c, _ := spread(stretchOf(ws, i-1, -1, flipBlocks, stepBlocks, heard), rest)
	d, _ := spread(stretchOf(ws, i+1, 1, flipBlocks, stepBlocks, heard), rest)
	if math.Abs(c+d) > flipSame {
		return 0
	}
	return int(math.Copysign(1, b))
}

func (m *Meter) flip(part []weigh, at, to float64) Finding {
	c := make([]float64, len(part))
	for i := range part {
		c[i] = part[i].lowC
	}
	slices.Sort(c)
	return Finding{
		Kind: reason.PolarityPart, At: at, Until: to, Figure: c[len(c)/2],
		Detail: fmt.Sprintf("one channel is upside down for %s from %s: correlation %.2f in the low end", span(to-at), reason.Place(at), c[len(c)/2]),
	}
}
