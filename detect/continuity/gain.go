package continuity

import (
	"math"

	"dubgauge/detect/dsp"
)

const (
	// wanderMost is how many times the wander of a balance in the course of the track what
	// moves it must be: a gain that of the rest, or of kick and bass where they tell it, and
	// channels that change sides that of one band.
	wanderMost = 2.5
	// sameLevel and sameCorr are how far levels, in dB, and correlation of 2 s change at most
	// where the music goes on, with its beats.
	sameLevel, sameCorr = 3.5, 0.2
	// partRests is the least share of the gain that the rest must show in between, and
	// partCommon how far the correlation of the channels may lie off there, in Fisher's z. Of
	// 48 parts planted in masters used for fitting the rest shows 0.6 to 1.3 of it, and the
	// correlation is 0.5 off at most and 0.28 in all but three.
	partRests, partCommon = 0.5, 0.7
	// commonMost bounds a correlation, so that z is at most 3.8.
	commonMost = 0.999
)

// gained tells whether two steps are those of a gain: the music goes on across one of them,
// and across both where one has no low end that tells, or all bands move alike; and the
// balance, that of kick and bass where they tell, does not move by as much all the time.
func gained(ws []weigh, a, b step, own float64) bool {
	goes := 0
	for _, s := range []step{a, b} {
		if goesOn(ws, s.at) {
			goes++
		}
	}
	low, solid, alike := a.low && b.low, a.solid && b.solid, a.alike && b.alike
	switch {
	case solid && goes > 0 || low && goes == 2:
		return math.Abs(a.db-b.db)/2 >= wanderMost*wander(ws, speaks, lowOf)
	case alike || goes == 2 || low && goes == 1:
		return math.Abs(a.db-b.db)/2 >= wanderMost*own
	}
	return false
}

// keeps tells whether the rest has moved between two steps as they say, unless kick and bass
// lie still beside both, and the channels have as much in common there as beside: a gain
// changes nothing else. Of a mix that leans to and fro some blocks move, and an instrument
// that plays alone on one side leaves the channels with more in common.
func keeps(ws []weigh, a, b step) bool {
	d := (a.db - b.db) / 2
	off, known := between(ws, a.at, b.at, heard, restOf)
	common, _ := between(ws, a.at, b.at, heard, commonOf)
	return known && (a.solid && b.solid || off*d >= partRests*d*d) && math.Abs(common) <= partCommon
}

// commonOf is the correlation of the channels in Fisher's z, whose spread does not go by it.
func commonOf(w *weigh) float64 { return math.Atanh(max(-commonMost, min(commonMost, w.corr))) }

// wander is how far a balance moves in the course of the track, a standard deviation in
// dB, from the median distance of stepBlocks from their median.
func wander(ws []weigh, pass func(*weigh) bool, of func(*weigh) float64) float64 {
	var means []float64
	for i := 0; i < len(ws); i += stepBlocks {
		if m, n := mean(ws[i:min(len(ws), i+stepBlocks)], pass, of); n >= stepLeast {
			means = append(means, m)
		}
	}
	if len(means) == 0 {
		return 0
	}
	middle := dsp.Median(means)
	for i, m := range means {
		means[i] = math.Abs(m - middle)
	}
	return dsp.Median(means) / normalMAD
}

// normalMAD is the median distance from the median of a normal distribution, in standard
// deviations.
const normalMAD = 0.6745

// goesOn tells whether the music is the same on both sides of block i: one of the channels,
// which no gain has touched, has the levels and both have the correlation that they had. An
// instrument that plays alone, on one side, has not.
func goesOn(ws []weigh, i int) bool {
	sides := [2][]weigh{stretchOf(ws, i-1, -1, stepBlocks, stepBlocks, heard), stretchOf(ws, i+1, 1, stepBlocks, stepBlocks, heard)}
	return min(len(sides[0]), len(sides[1])) >= stepLeast && levelsGoOn(sides) &&
		change(sides, func(w *weigh) float64 { return w.corr }) <= sameCorr
}

// levelsGoOn tells whether one of the channels has the same levels on both sides.
func levelsGoOn(sides [2][]weigh) bool {
	least := math.Inf(1)
	for c := range 2 {
		most := 0.0
		for band := range len(sides[0][0].levels[c]) {
			most = max(most, change(sides, func(w *weigh) float64 { return w.levels[c][band] }))
		}
		least = min(least, most)
	}
	return least <= sameLevel
}

// change is how far the mean of a figure moves.
func change(sides [2][]weigh, of func(*weigh) float64) float64 {
	return math.Abs(bandStep(sides, of, 0).db)
}
