package standout

import (
	"cmp"
	"math"
	"slices"

	"dubgauge/detect/dsp"
)

// How unlike two tracks are in what no equaliser changes: how the low end moves (the
// pattern of its onsets over a bar) and how fast.
//
//	D^2 = (rhythm/0.12)^2 + (tempo/0.04)^2
//
// rhythm being the root mean square difference of the patterns, tempo the difference
// in octaves, folded. The scales are what tracks of one genre differ by, fitted to
// half of the bench's masters.
const (
	rhythmScale = 0.12
	tempoScale  = 0.04 // octaves: 2.8 %
	tempoFar    = 0.20 // octaves; beyond, a track is no more unlike
	patternMost = 1.2  // of the value at a bar
)

const (
	// LikeMost is the mean distance to its nearest kin up to which a track has a kind
	// among its references: on the bench 1 % of tracks lie further from references of
	// their own genre, and 93 % of broken beats from four-on-the-floor references.
	LikeMost = 2.6
	// kin is how many of its nearest references that mean is over.
	kin = 3
	// groupMost is how far a reference may be to serve; the nearest minGroup
	// serve in any case, so that a few references of one kind are not divided.
	groupMost = 3.0
	nearest   = 8
	// groupSize bounds a group: more references add nothing that is heard.
	groupSize = 60
)

// rhythm is the pattern of a track against its value at a bar, nil when unknown.
func (t *Track) rhythm() []float64 {
	n := len(t.Pattern)
	if n == 0 {
		return nil
	}
	r := make([]float64, n)
	bar := math.Max(float64(t.Pattern[n-1]), 0.02)
	for i, v := range t.Pattern {
		r[i] = math.Min(float64(v)/bar, patternMost)
		if math.IsNaN(r[i]) {
			return nil
		}
	}
	return r
}

// unlike is D of a track with this folded tempo and rhythm to m, at most limit: what
// is further off is infinitely far. Without a tempo on either side it is NaN; a
// rhythm that is unknown is not counted.
func (m *member) unlike(octave float64, rhythm []float64, limit float64) float64 {
	tempo := math.Min(octaveDistance(m.octave, octave), tempoFar) / tempoScale
	if !(tempo <= limit) {
		if math.IsNaN(tempo) {
			return tempo
		}
		return math.Inf(1)
	}
	if len(rhythm) == 0 || len(rhythm) != len(m.rhythm) {
		return tempo
	}
	sum, most := 0.0, (limit*limit-tempo*tempo)*rhythmScale*rhythmScale*float64(len(rhythm))
	for i, v := range rhythm {
		d := v - m.rhythm[i]
		if sum += d * d; sum > most {
			return math.Inf(1)
		}
	}
	return math.Sqrt(sum/float64(len(rhythm))/(rhythmScale*rhythmScale) + tempo*tempo)
}

// farthest is more than any D.
const farthest = 20.0

// ranked is a reference and how unlike a track it is.
type ranked struct {
	index    int
	distance float64
}

// rank lists the references by how unlike t they are, nearest first; nil when it has no
// kind among them. self is left out.
func (r *references) rank(t *Track, self int) []ranked {
	octave, rhythm := fold(t.BPM), t.rhythm()
	if math.IsNaN(octave) {
		return nil
	}
	all := make([]ranked, 0, len(r.spread))
	for _, i := range r.spread {
		if i == self {
			continue
		}
		if d := r.members[i].unlike(octave, rhythm, farthest); !math.IsNaN(d) {
			all = append(all, ranked{i, d})
		}
	}
	if len(all) < MinGroup {
		return nil
	}
	slices.SortFunc(all, byDistance)
	if !isKin(all[:kin]) {
		return nil
	}
	return all
}

func byDistance(a, b ranked) int {
	return cmp.Or(cmp.Compare(a.distance, b.distance), a.index-b.index)
}

// isKin tells whether a track has a kind among its references, by the nearest of them.
func isKin(nearest []ranked) bool { return distance(nearest) <= LikeMost }

// distance is the mean of the nearest.
func distance(nearest []ranked) (mean float64) {
	for _, a := range nearest {
		mean += a.distance / float64(len(nearest))
	}
	return mean
}

// first is the reference that rank would put first; ok is false where it would give
// nil.
func (r *references) first(t *Track, self int) (index int, ok bool) {
	best, n := r.nearest(t, self)
	return best[0].index, n >= MinGroup && isKin(best[:])
}

// distance of a track to its nearest references, NaN without a tempo and infinite where there
// are too few. self is left out.
func (r *references) distance(t *Track, self int) float64 {
	best, n := r.nearest(t, self)
	if n < 0 {
		return math.NaN()
	}
	return distance(best[:])
}

// nearest are the references that rank would put first, and how many it would rank; -1 of a
// track without a tempo. It looks at them from the nearest in tempo on, as long as one can be
// nearer than those that were seen, and sorts none.
func (r *references) nearest(t *Track, self int) (best [kin]ranked, n int) {
	octave, rhythm := fold(t.BPM), t.rhythm()
	for i := range best {
		best[i] = ranked{math.MaxInt, math.Inf(1)}
	}
	if math.IsNaN(octave) {
		return best, -1
	}
	const rounding = 1 + 1e-9
	n = len(r.spread)
	all := n
	above, _ := slices.BinarySearchFunc(r.spread, octave, func(i int, octave float64) int { return cmp.Compare(r.members[i].octave, octave) })
	below := above - 1
	for range all {
		up, down := r.spread[above%all], r.spread[(below+all)%all]
		i := down
		if octaveDistance(r.members[up].octave, octave) < octaveDistance(r.members[down].octave, octave) {
			i, above = up, above+1
		} else {
			below--
		}
		limit := math.Min(farthest, best[kin-1].distance*rounding)
		if math.Min(octaveDistance(r.members[i].octave, octave), tempoFar)/tempoScale > limit {
			break // and all that follow are further in tempo
		}
		if i == self {
			continue
		}
		a := ranked{i, r.members[i].unlike(octave, rhythm, limit)}
		for k := range best {
			if byDistance(a, best[k]) < 0 {
				a, best[k] = best[k], a
			}
		}
	}
	if self >= 0 && slices.Contains(r.spread, self) {
		n--
	}
	return best, n
}

// usual is how far references lie from their nearest, on the median; NaN where none has a
// tempo.
func (r *references) usual(members []int) float64 {
	var all []float64
	for _, i := range members {
		if d := r.members[i].nearest; !math.IsNaN(d) && !math.IsInf(d, 0) {
			all = append(all, d)
		}
	}
	slices.Sort(all)
	return dsp.Quantile(all, 0.5)
}

// alike picks from a ranking the references that serve.
func alike(all []ranked) []int {
	n := min(nearest, len(all))
	for n < len(all) && n < groupSize && all[n].distance <= groupMost {
		n++
	}
	group := make([]int, n)
	for i, a := range all[:n] {
		group[i] = a.index
	}
	return group
}
