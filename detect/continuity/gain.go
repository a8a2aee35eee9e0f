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
	// wanderAlike is the same of a gain that moves all bands alike at both its edges, across
	// which the music goes on, and the rest by as much in between.
	wanderAlike = 1.8
	// sameLevel and sameCorr are how far levels, in dB, and correlation of 2 s change at most
	// where the music goes on, with its beats.
	sameLevel, sameCorr = 3.5, 0.2
	// partRests is the least share of the gain that the rest must show in between, and
	// partCommon how far the correlation of the channels may lie off there, in Fisher's z. Of
	// 48 parts planted in masters used for fitting the rest shows 0.6 to 1.3 of it, and the
	// correlation is 0.5 off at most and 0.28 in all but three.
	partRests, partCommon = 0.5, 0.7
	// partCommonLow is the same where kick and bass tell both ends, lie still beside one and wander
	// by so much less in the whole track: there it is the music that has more in common for a while.
	partCommonLow, partStill = 1.2, 12.0
	// commonMost bounds a correlation, so that z is at most 3.8.
	commonMost = 0.999
)

// gained tells whether two steps are those of a gain: the music goes on across one of them,
// and across both where one has no low end that tells, or all bands move alike; and the
// balance, that of kick and bass where they tell, does not move by as much all the time.
func gained(ws []weigh, a, b step, own float64) bool {
	goes := goesOver(ws, a, b)
	low, solid, alike := a.low && b.low, a.solid && b.solid, a.alike && b.alike
	d := math.Abs(a.db-b.db) / 2
	if solid && goes > 0 || low && goes == 2 {
		return d >= wanderMost*wander(ws, speaks, lowOf)
	}
	if alike && goes == 2 && restAsMuch(ws, a, b) {
		return d >= wanderAlike*own
	}
	return (alike || goes == 2 || low && goes == 1) && d >= wanderMost*own
}

// goesOver is across how many of some steps the music goes on.
func goesOver(ws []weigh, steps ...step) (n int) {
	for _, s := range steps {
		if goesOn(ws, s.at) {
			n++
		}
	}
	return n
}

// restAsMuch tells whether the rest lies off between two steps by what they say.
func restAsMuch(ws []weigh, a, b step) bool {
	off, known := between(ws, a.at, b.at, heard, restOf)
	return known && math.Abs(off-(a.db-b.db)/2) <= stepAlike
}

// keeps tells whether the rest has moved between two steps as they say, unless kick and bass
// lie still beside both, and the channels have as much in common there as beside: a gain
// changes nothing else. Of a mix that leans to and fro some blocks move, and an instrument
// that plays alone on one side leaves the channels with more in common.
func keeps(ws []weigh, a, b step) bool {
	d := (a.db - b.db) / 2
	off, known := between(ws, a.at, b.at, heard, restOf)
	common, _ := between(ws, a.at, b.at, heard, commonOf)
	most := partCommon
	if a.low && b.low && (a.solid || b.solid) && math.Abs(d) >= partStill*wander(ws, speaks, lowOf) {
		most = partCommonLow
	}
	return known && (a.solid && b.solid || off*d >= partRests*d*d) && math.Abs(common) <= most
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
