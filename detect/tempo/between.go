package tempo

import (
	"math"
	"slices"
)

// Where a pattern of drums serves as well half a beat later, what it is a pattern of tells: chords
// and bass change on the beat, more than between; parts begin and end on one; and from the beat
// bars can be counted, plainer than from between.
const (
	// How much these count beside the scores of two places: the plainest bar line of one, less
	// that of the other; changeRatio; sectionsOn. Of 131 pieces whose drums leave it in doubt
	// (songs, grooves, modules and other scores that machines play) the drums alone misplace 20.
	// Logistic regressions on either half give 0.9, 0.5 to 1.4 and 0.2 to 0.8 and misplace 9, each
	// told of the other half; what stands here misplaces 8.
	barWeight     = 0.8
	changeWeight  = 1
	sectionWeight = 0.8
	// drumsSure is the lead of a score from which nothing else is asked: those led by more are
	// right.
	drumsSure = 3
	// leastHalves is the number of half beats from which they are asked: four bars.
	leastHalves = 4 * 2 * bar
)

// settle is the better one of the place that drums and the opening speak for and of that half a
// beat later, if that is among the places at of bars f, whose scores are given; and by how much it
// leads the next best place.
func (b *reading) settle(f *bars, at []int, scores []float64) (bin int, lead float64) {
	opens, sum := b.opens(at), make([]float64, len(at))
	for i, v := range scores {
		sum[i] = v + opens[i]
	}
	best := largest(sum)
	rival := halfABeatOff(at, sum, best)
	if rival < 0 || b.levels == nil {
		return at[best], ahead(sum, best, best)
	}
	lead = scores[best] - scores[rival] + f.turns(at[best], at[rival])
	if lead < drumsSure {
		lead += b.onThanBetween(at[best], at[rival])
	}
	lead += opens[best] - opens[rival] // less than drumsSure
	if lead < 0 {
		best, rival, lead = rival, best, -lead
	}
	return at[best], min(lead, ahead(sum, best, rival))
}

// halfABeatOff is the strongest of the places half a beat from one of them, -1 for none.
func halfABeatOff(at []int, strength []float64, from int) int {
	rival := -1
	for i, c := range at {
		away := math.Abs(math.Remainder(float64(c-at[from]-foldBins/2), foldBins))
		if away <= apart && (rival < 0 || strength[i] > strength[rival]) {
			rival = i
		}
	}
	return rival
}

// ahead is the lead of one strength over the greatest of the others, but for one of them.
func ahead(strength []float64, of, but int) float64 {
	lead := math.Inf(1)
	for i, v := range strength {
		if i != of && i != but {
			lead = min(lead, strength[of]-v)
		}
	}
	return lead
}

// The chance that the beat is where it leads by so much and not elsewhere, at a tempo that is right:
//
//	1 / (1 + exp(-(0.5 + 0.72 min(lead, 6))))
//
// From 364 songs, modules and other scores and 466 excerpts of them of 30 s, of which 3 and 30 are
// misplaced. Logistic regressions on either half give 0.1 and 0.6, 0.89 and 0.82.
const (
	placeBase = 0.5
	placeLead = 0.72
	placeFull = 6
)

// chanceOfPlace is that chance.
func chanceOfPlace(lead float64) float64 {
	return 1 / (1 + math.Exp(-placeBase-placeLead*min(lead, placeFull)))
}

// onThanBetween is how much more speaks for the beat to begin at a bin than at another, half a
// beat away.
func (b *reading) onThanBetween(bin, between int) float64 {
	bars := b.barsFrom(bin) - b.barsFrom(between) // done with before the halves are made: of a set both are large
	halves := b.halves(bin)
	return barWeight*bars + changeWeight*changeRatio(halves) + sectionWeight*sectionsOn(halves)
}

// barsFrom is how plainly bars begin on one of the four beats that begin at a bin: the greatest
// mean evidence for a bar line.
func (b *reading) barsFrom(bin int) float64 {
	g := grid{phase: float64(bin) / foldBins / b.pulse.hz, lead: onsetLead}
	for t := g.phase; t < b.duration(); t += 1 / b.pulse.hz {
		g.times = append(g.times, b.seconds(t))
	}
	mean := meanEvidence(evidence(lineSignsOf(b.played(&g, b.levels, b.origin), b.levels.part)))
	return slices.Max(mean[:])
}

// halves are the levels of the half beats, the first of which begins at a bin.
func (b *reading) halves(bin int) (out []beatPlayed) {
	half := 0.5 / b.pulse.hz
	for t := float64(bin) / foldBins / b.pulse.hz; t < b.duration(); t += half {
		level := make([]float64, b.levels.bands)
		from := b.seconds(t) + onsetLead - b.origin
		if !b.levels.mean(level, from, from+half) {
			break
		}
		out = append(out, beatPlayed{levels: level})
	}
	return out
}

// sectionsOn is how much more sections change on the beat than between, of all that they change:
// 1 for on the beat alone, -1 for between alone, 0 where none does.
func sectionsOn(halves []beatPlayed) float64 {
	var sum [2]float64
	for i, v := range sectionChanges(halves, 2*bar) {
		sum[i%2] += v
	}
	return (sum[0] - sum[1]) / max(sum[0]+sum[1], 1e-300)
}

// changeRatio is that of half beats, the first on the beat. What the drums repeat every bar is
// taken out.
//
//	log(sum over even i of |R(i) - R(i-1)| / sum over odd i of |R(i) - R(i-1)|)
func changeRatio(halves []beatPlayed) float64 {
	if len(halves) < leastHalves {
		return 0
	}
	rest := residual(halves, 2*bar)
	var sum [2]float64
	for i := 1; i < len(rest); i++ {
		for k, v := range rest[i] {
			sum[i%2] += math.Abs(v - rest[i-1][k])
		}
	}
	if sum[0] <= 0 || sum[1] <= 0 {
		return 0
	}
	return math.Log(sum[0] / sum[1])
}
