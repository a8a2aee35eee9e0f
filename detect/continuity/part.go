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
	partLeast, partMost, partSame = 4.0, 0.6, 0.9
	// partRest is how far the rest may lie off the gain in between where no low end tells.
	partRest = 1.5
	// stepAlike is how far the steps of the bands lie apart, in dB, where a gain moves them
	// all: instruments that come and go move each by something else. stepNearly is the same of
	// the one step of a track in which kick and bass lie still on both sides.
	stepAlike, stepNearly = 0.5, 0.7
	// stepsMost is the greatest number of steps in a track, those of a part among them, that
	// are none of its own: in one that leans to and fro only kick and bass tell, or, up to
	// stepsAlike of them, all bands: of 26 some pairs move all of them alike by chance.
	stepsMost, stepsAlike = 6, 12
)

// step is a change at once of what lies before and after a block.
type step struct {
	at    int // the block
	db    float64
	rank  float64 // of neighbours the one with the greatest is the edge
	solid bool    // the low end alone tells
	low   bool    // it tells at all
	apart float64 // how far apart the bands move, in dB
	alike bool    // they move by the same
}

// stretchOf gives up to n blocks that pass, going from block i on in a direction.
func stretchOf(ws []weigh, i, direction, n, reach int, pass func(*weigh) bool) []weigh {
	out := make([]weigh, 0, n)
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
// right beside the block. It is of 0 dB where it is none of a gain. A low end of two
// sources does not speak: then the rest and the top do.
func stepAt(ws []weigh, i int) step {
	low := [2][]weigh{stretchOf(ws, i-1, -1, stepBlocks, stepReach, speaks), stretchOf(ws, i+1, 1, stepBlocks, stepReach, speaks)}
	all := [2][]weigh{stretchOf(ws, i-1, -1, stepBlocks, stepBlocks, heard), stretchOf(ws, i+1, 1, stepBlocks, stepBlocks, heard)}
	if min(len(all[0]), len(all[1])) < stepLeast {
		return step{}
	}
	bands := []band{bandStep(all, restOf, stepRest), bandStep(all, topOf, stepRest)}
	rank, alike := bands[0].db+bands[1].db, bands
	if min(len(low[0]), len(low[1])) >= stepLeast {
		l := bandStep(low, lowOf, stepLow)
		rank += 2 * l.db
		alike = append(alike, l)
		if solid(low) {
			if math.Abs(l.db) < stepDB {
				return step{}
			}
			return newStep(i, l.db, rank, true, true, alike)
		}
		bands = append(bands, l)
	}
	if db := common(bands); db != 0 {
		return newStep(i, db, rank, false, len(bands) == 3, alike)
	}
	return step{}
}

func newStep(at int, db, rank float64, solid, low bool, bands []band) step {
	d := apart(bands)
	return step{at: at, db: db, rank: math.Abs(rank), solid: solid, low: low, apart: d, alike: d <= stepAlike}
}

// band is the step of a band in dB and its variance.
type band struct{ db, variance float64 }

func bandStep(sides [2][]weigh, of func(*weigh) float64, floor float64) (b band) {
	for k, ws := range sides {
		mean, v := spread(ws, of)
		b.db += mean * float64(2*k-1)
		b.variance += (v + floor*floor) / float64(len(ws))
	}
	return b
}

// plainer tells that two of so many steps are more than a balance that moves.
func (s step) plainer(o step, steps int) bool {
	return s.low && o.low || steps <= stepsAlike && s.alike && o.alike
}

// apart is how far apart the steps of the bands lie.
func apart(bands []band) float64 {
	least, most := bands[0].db, bands[0].db
	for _, b := range bands {
		least, most = min(least, b.db), max(most, b.db)
	}
	return most - least
}

// common is the step that the bands have together, in dB, 0 where it is too small, not
// sure or not that of all.
func common(bands []band) float64 {
	weights, mean := 0.0, 0.0
	for _, b := range bands {
		weights += 1 / b.variance
		mean += b.db / b.variance
	}
	mean /= weights
	if math.Abs(mean) < stepDB || mean*mean*weights < stepSure*stepSure {
		return 0
	}
	for _, b := range bands {
		if off := b.db - mean; off*off > stepOff*stepOff*b.variance+stepRest*stepRest {
			return 0
		}
	}
	return mean
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

func lowOf(w *weigh) float64  { return w.low }
func restOf(w *weigh) float64 { return w.rest }
func topOf(w *weigh) float64  { return w.top }

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

// parts names those in which a gain has moved the balance and back; of two that overlap
// the shorter one.
func (m *Meter) parts(ws []weigh) []Finding {
	var pairs [][2]step
	all, own := steps(ws), wander(ws, heard, restOf)
	for i, a := range all {
		for j := closing(ws, all, i, i); j >= 0; j = closing(ws, all, i, j) {
			if float64(all[j].at-a.at)*m.blocks.seconds >= partLeast && (j == i+1 && len(all) <= stepsMost || a.plainer(all[j], len(all))) && gained(ws, a, all[j], own) && keeps(ws, a, all[j]) {
				pairs = append(pairs, [2]step{a, all[j]})
				break
			}
		}
	}
	if s, ok := m.lasting(ws, all); ok {
		pairs = append(pairs, s)
	}
	slices.SortStableFunc(pairs, func(p, q [2]step) int { return (p[1].at - p[0].at) - (q[1].at - q[0].at) })
	var out []Finding
	for i, p := range pairs {
		overlaps := func(q [2]step) bool { return p[0].at <= q[1].at && q[0].at <= p[1].at }
		if !slices.ContainsFunc(pairs[:i], overlaps) {
			out = append(out, m.part(p[0], p[1]))
		}
	}
	return out
}

func (m *Meter) part(a, b step) Finding {
	d, at, until := (a.db-b.db)/2, float64(a.at)*m.blocks.seconds, float64(b.at)*m.blocks.seconds
	if t := m.seconds(m.total()); t > 0 { // the last block may be filled up
		until = math.Min(until, t)
	}
	return Finding{
		Kind: reason.WeakPart, At: at, Until: until, Figure: math.Abs(d),
		Detail: fmt.Sprintf("the %s channel is %.1f dB weaker than in the rest of the track for %s from %s", weaker(d), math.Abs(d), span(until-at), reason.Place(at)),
	}
}

// closing finds the next step after place j that takes back that in place i, -1 if there is none: between the
// two the low end lies off by as much as they say, or the rest where no low end speaks.
func closing(ws []weigh, all []step, i, j int) int {
	a := all[i]
	for j++; j < len(all) && float64(all[j].at-a.at) <= partMost*float64(len(ws)); j++ {
		b := all[j]
		if math.Abs(a.db+b.db) > partSame {
			continue
		}
		off, known := between(ws, a.at, b.at, speaks, lowOf)
		same := partSame
		if !known {
			off, known = between(ws, a.at, b.at, heard, restOf)
			same = partRest
		}
		if known && math.Abs(off-(a.db-b.db)/2) <= same {
			return j
		}
	}
	return -1
}

// between is how far a figure lies off between two blocks, against what it is beside them.
func between(ws []weigh, from, to int, pass func(*weigh) bool, of func(*weigh) float64) (off float64, known bool) {
	inside, n := mean(ws[from+1:to], pass, of)
	before, n0 := mean(ws[max(0, from-stepReach):from], pass, of)
	after, n1 := mean(ws[to+1:min(len(ws), to+1+stepReach)], pass, of)
	return inside - (before+after)/2, min(n, n0, n1) > 0
}

// mean is that of a figure over the blocks that pass, of which there are n.
func mean(ws []weigh, pass func(*weigh) bool, of func(*weigh) float64) (m float64, n int) {
	for i := range ws {
		if pass(&ws[i]) {
			m += of(&ws[i])
			n++
		}
	}
	return m / float64(max(1, n)), n
}
