package advice

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"

	"dubgauge/detect"
	"dubgauge/detect/reason"
	"dubgauge/detect/spectrum"
)

// Records of one kind differ more in the top than anywhere, and its bands go together: where
// one lies outside of the range of the references, all of them do, and the range of each holds
// but eight of ten. Advice on the top is therefore given by one figure: how much of a high
// shelf at 8 kHz there is in a track beside its references.

// topWeights give that gain in dB as a sum over third octaves from topFirst (630 Hz) on, in dB:
// generalised least squares by the covariance of clean songs about the means of their genres,
//
//	w = V^-1 a / a' V^-1 a,  a the third octaves of 1 dB of the shelf
//
// with an open level. Fitted to the bench's masters with even seeds (.ci/verdicts), with 5 % of
// the covariance between bands taken away; it differs from song to song of a genre by 2.1 dB,
// by 2.2 in the odd half. Neither the dynamics of a song nor its rhythm, tempo or low end bring
// that down: where they go with its brightness, a filter moves them too.
var topWeights = [...]float64{-0.18, -0.07, -0.05, 0.03, -0.07, -0.07, 0.03, -0.07, 0.16, -0.30, -0.89, -0.06, 0.70, 0.98, -0.16}

const (
	topFirst = 15
	topHz    = 8000
	// topSpread is that spread in dB, topMasters how many references it weighs as.
	topSpread  = 2.1
	topMasters = 6.0
	// topChance is the share of clean tracks that are told to raise their top, and again to
	// lower it: 5 % with what filters elsewhere do up there.
	topChance = 0.04
)

// topOf is the figure of a track; NaN without all of its bands.
func topOf(s detect.Spectrum) float64 {
	_, upper := spectrum.Edges(topFirst + len(topWeights) - 1)
	if len(s.LoudestDB) < topFirst+len(topWeights) || (s.BandwidthHz.Exists() && upper > float64(s.BandwidthHz)) {
		return math.NaN()
	}
	sum := 0.0
	for i, w := range topWeights {
		sum += w * float64(s.LoudestDB[topFirst+i])
	}
	return sum
}

// topOff is by how much a track has more of the top than its references, in dB; out tells that
// it is more than another of their kind would show (a t distribution whose variance is
// moderated by that of masters in general, as in package standout). known is false where the
// track or too few of them have the bands.
func topOff(own detect.Spectrum, spectra []detect.Spectrum) (off float64, out, known bool) {
	var x []float64
	mean := 0.0
	for _, s := range spectra {
		if v := topOf(s); !math.IsNaN(v) {
			x = append(x, v)
			mean += v
		}
	}
	n := float64(len(x))
	off = topOf(own) - mean/n
	if len(x) < FewestReferences || math.IsNaN(off) {
		return 0, false, false
	}
	square := topMasters * topSpread * topSpread
	for _, v := range x {
		square += (v - mean/n) * (v - mean/n)
	}
	dof := topMasters + n - 1
	spread := math.Sqrt(square / dof * (1 + 1/n))
	return off, math.Abs(off) > spread*distuv.StudentsT{Sigma: 1, Nu: dof}.Quantile(1-topChance), true
}

// topJudged is what is known of the top of a track. named tells that a verdict has named a
// filter that is heard there: then it is known by more than this.
type topJudged struct {
	known, out, named bool
	off               float64
}

// byEar tells that a filter changes the top by what is heard, where the track does not stand
// out, or the other way: what it brings into the range lies as far off in one record of ten.
func (t topJudged) byEar(s shape) bool {
	does := topBy(s)
	return t.known && !t.named && math.Abs(does) >= topLeast && !(t.out && does*t.off > 0)
}

// topLeast is what one filter may do to the top without being one for the top, in dB.
const topLeast = 0.75

// topBy is what a filter does to the top on the mean, dB.
func topBy(s shape) float64 { return (s.at(8000) + s.at(11000) + s.at(14000)) / 3 }

// judgeTop holds the top of a track against its references and adds to what verdicts have
// said of the track, where it stands out there and none of them has named a filter for it.
func (c *curve) judgeTop(own detect.Spectrum, spectra []detect.Spectrum, said []Said) []Said {
	t := &c.top
	t.off, t.out, t.known = topOff(own, spectra)
	for _, s := range said {
		t.named = t.named || math.Abs(topBy(s.shape())) >= topLeast
	}
	if !t.out || t.named || math.Abs(t.off) < Least {
		return said
	}
	return append(slices.Clone(said), Said{Filter: reason.HighShelf, Hz: topHz, Off: t.off})
}
