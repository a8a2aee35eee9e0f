package judge

import (
	"math"
	"slices"

	"dubgauge/detect/reason"
	"dubgauge/detect/standout"
	"dubgauge/library/track"
)

// ranks of the verdicts.
var ranks = []standout.Verdict{standout.Ready, standout.Check, standout.HoldBack}

// nearest is the track of a group that lies nearest to its references: by its verdict,
// then by how far it lies past a cut-off, then by its level. It is nil where there are
// not two to choose from, where one is as near as the next, and against fixed values,
// which are no records to be near to.
func nearest(group []*tune) *track.Track {
	var in []*track.Track
	for _, t := range unreleased(group) {
		if slices.Contains(ranks, t.Verdict) && t.Reference.Basis != reason.BasisFixed && t.MismatchDB.Exists() {
			in = append(in, t)
		}
	}
	if len(in) < 2 {
		return nil
	}
	slices.SortStableFunc(in, compareNearness)
	if compareNearness(in[0], in[1]) == 0 {
		return nil
	}
	return in[0]
}

func compareNearness(a, b *track.Track) int {
	x, y := nearness(a), nearness(b)
	return slices.Compare(x[:], y[:])
}

// nearness is smaller the nearer a track lies.
func nearness(t *track.Track) [3]float64 {
	return [3]float64{
		float64(slices.Index(ranks, t.Verdict)),
		max(1, float64(t.Past)), // within the cut-offs it is as near as others
		math.Abs(float64(t.MismatchDB)),
	}
}
