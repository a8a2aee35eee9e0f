package tempo

import "math"

// A piece begins on a beat, most often with the first of a bar: a musician counts from what is
// heard first until the drums say otherwise, and so do they here where they leave it in doubt.
const (
	// openingWeight is what that counts beside the scores of places. Of 389 songs, grooves, modules and
	// other scores 366 begin on the beat and 5 half a beat off it. Logistic regressions on either half
	// of those that the drums leave in doubt give 2.4 and 3.0 of the weight of a score.
	openingWeight = 2.5
	// openingReach is how far from a place, in seconds, the first attack is taken to lie on it: 95 %
	// of those lie within 12 ms.
	openingReach = 0.02
	// openingShare is the share of the strong attacks, which openingStrong of the onset curve stays
	// under, that the first has at least: a tick of vinyl is none.
	openingShare  = 0.1
	openingStrong = 0.995
	// openingSample is the most values of the curve that are sorted for that: six minutes. Of a longer
	// track every second one is, or every third and so on.
	openingSample = 1 << 16
	// edgeSeconds is what is heard of the end of a track and, at the least, of what comes before the
	// first attack; edgeQuiet is the share of the mean of the fine envelope which that has at the most.
	// Of 401 whole pieces 90 % end with less than 0.06, of 473 excerpts of them 95 % with more than 0.2.
	edgeSeconds = 0.1
	edgeQuiet   = 0.1
)

// opening is the time of the first attack of a piece, in seconds in the track; NaN where there is
// none or what is before it cannot tell: it sounds on, or the track is an excerpt, which begins and
// ends with a sound that is cut.
func (a *analysis) opening(fine *envelope) float64 {
	at := a.firstAttack()
	before := fine.value[:max(0, min(len(fine.value), int((at-attackReach)/fine.step)))]
	if float64(len(before))*fine.step < edgeSeconds {
		if len(fine.value) >= fine.limit {
			return at // no excerpt is that long
		}
		before = fine.value[max(0, len(fine.value)-int(edgeSeconds/fine.step)):]
	}
	if len(before) == 0 || meanOf(before) > edgeQuiet*meanOf(fine.value) {
		return math.NaN()
	}
	return at
}

// firstAttack is the time of the first peak of the onset curve, NaN where there is none.
func (a *analysis) firstAttack() float64 {
	var sample []float64
	for i := 0; i < len(a.total); i += 1 + len(a.total)/openingSample {
		sample = append(sample, a.total[i])
	}
	limit := openingShare * quantile(sample, openingStrong)
	for i := 0; i+1 < len(a.total); i++ {
		if a.total[i] > limit && a.total[i] >= a.total[i+1] {
			return a.seconds(float64(i) * a.step)
		}
	}
	return math.NaN()
}

// opens is what the opening speaks for each of the places, which are bins of a beat.
func (b *reading) opens(at []int) []float64 {
	out := make([]float64, len(at))
	for i, c := range at {
		for t := float64(c) / foldBins / b.pulse.hz; b.seconds(t) <= b.opened+openingReach; t += 1 / b.pulse.hz {
			if b.seconds(t) >= b.opened-openingReach {
				out[i] = openingWeight
			}
		}
	}
	return out
}
