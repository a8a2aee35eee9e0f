package standout

import (
	"cmp"
	"math"
	"slices"

	"dubgauge/detect"
	"dubgauge/detect/dsp"
)

const (
	// Few is the group size below which it is said that they are few.
	Few = 8
	// SpreadFloor in dB keeps a very even group from flagging differences
	// that nobody hears; about the just noticeable difference of level of
	// broadband noise (0.4 to 0.5 dB).
	SpreadFloor = 0.5
)

// quantities in the order in which they are judged.
var quantities = []Quantity{Level, LowEnd, Sub, Bass, Mono, Peak}

// Peak is compared like the others but only one reason comes from it.
const Peak Quantity = "true peak"

// value is the track's figure for q.
func (t *Track) value(q Quantity) detect.Value {
	switch q {
	case Level:
		return t.Level
	case LowEnd:
		return t.LowEnd
	case Sub:
		return t.Sub
	case Bass:
		return t.Bass
	case Mono:
		return t.Mono
	case Peak:
		return t.True
	}
	return detect.None
}

// member is a reference with what likeness is judged by.
type member struct {
	*Track
	octave  float64   // log2 of the tempo, modulo 1; NaN without a tempo
	rhythm  []float64 // of those that likeness is looked for among
	nearest float64   // distance of those to their nearest, NaN of others
}

// references are the tracks that can serve.
type references struct {
	members []member
	named   bool
	index   map[int64]int // of members, by ID
	spread  []int         // members that likeness is looked for among, in the order of their folded tempo
}

// manyReferences is how many are looked at for likeness. Of more, as many are drawn by their
// figures, so that one more or fewer moves one of them at most and leaves the groups of others
// as they are; and tracks with one nearest reference share its group, so that a library of
// tens of thousands is judged in seconds.
const manyReferences = 400

// lot is the number by which a reference is drawn: it comes from its figures alone, and those of
// any two that are alike lie anywhere (the mixing function of SplitMix64: Steele, Lea & Flood,
// OOPSLA 2014).
func lot(t *Track) (z uint64) {
	for _, v := range [...]detect.Value{t.Level, t.LowEnd, t.Sub, t.Bass, t.Mono, t.True, t.BPM, t.DurationS} {
		z += 0x9e3779b97f4a7c15 + math.Float64bits(float64(v))
		z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
		z = (z ^ z>>27) * 0x94d049bb133111eb
		z ^= z >> 31
	}
	return z
}

// fold maps tempi that are octaves apart to one number in [0, 1).
func fold(bpm detect.Value) float64 {
	if !bpm.Exists() || bpm <= 0 {
		return math.NaN()
	}
	_, f := math.Modf(math.Log2(float64(bpm)))
	return math.Mod(f+1, 1)
}

// octaveDistance is how far apart two folded tempi lie, in octaves, at most 0.5.
func octaveDistance(a, b float64) float64 {
	d := math.Abs(a - b)
	return math.Min(d, 1-d)
}

// pick keeps the tracks of the pool that can serve: measured whole. If any are named by
// hand, no other serves.
func pick(pool []Track) (members []member, named bool) {
	for i := range pool {
		t := &pool[i]
		if t.Problem != nil || !t.Level.Exists() {
			continue
		}
		if t.Named && !named {
			named, members = true, nil
		}
		if t.Named || (t.Reference && !named) {
			members = append(members, member{Track: t, octave: fold(t.BPM)})
		}
	}
	return members, named
}

func newReferences(pool []Track) *references {
	r := &references{index: map[int64]int{}}
	r.members, r.named = pick(pool)
	for i, m := range r.members {
		r.index[m.ID] = i
		if !math.IsNaN(m.octave) {
			r.spread = append(r.spread, i)
		}
	}
	if len(r.spread) > manyReferences {
		lots := make([]uint64, len(r.members))
		for _, i := range r.spread {
			lots[i] = lot(r.members[i].Track)
		}
		slices.SortStableFunc(r.spread, func(a, b int) int { return cmp.Compare(lots[a], lots[b]) })
		r.spread = r.spread[:manyReferences]
		slices.Sort(r.spread)
	}
	slices.SortStableFunc(r.spread, func(a, b int) int { return cmp.Compare(r.members[a].octave, r.members[b].octave) })
	for _, i := range r.spread {
		r.members[i].rhythm = r.members[i].Track.rhythm()
	}
	for i := range r.members {
		r.members[i].nearest = math.NaN()
	}
	for _, i := range r.spread {
		r.members[i].nearest = r.distance(r.members[i].Track, i)
	}
	return r
}

// but lists all members except self.
func (r *references) but(self int) []int {
	out := make([]int, 0, len(r.members))
	for i := range r.members {
		if i != self {
			out = append(out, i)
		}
	}
	return out
}

// values lists a quantity of the members with these indices, sorted.
func (r *references) values(index []int, q Quantity) []float64 {
	x := make([]float64, 0, len(index))
	for _, i := range index {
		if v := r.members[i].value(q); v.Exists() {
			x = append(x, float64(v))
		}
	}
	slices.Sort(x)
	return x
}

// stat sums up a sorted sample.
func stat(s []float64) Stat {
	v := func(p float64) detect.Value { return detect.Value(dsp.Quantile(s, p)) }
	return Stat{
		N: len(s), Median: v(0.5), P10: v(0.1), P90: v(0.9), Min: v(0), Max: v(1),
		Spread: detect.Value(math.Max(SpreadFloor, spread(s))), // NaN stays NaN
	}
}
