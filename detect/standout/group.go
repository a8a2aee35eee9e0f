package standout

import (
	"cmp"
	"math"
	"slices"

	"dubgauge/detect"
	"dubgauge/detect/dsp"
)

const (
	// TempoWindow is how far apart two tempi may lie for their tracks to be
	// mixed, as a ratio: the pitch fader's common 6 %. Common practice, no
	// source.
	TempoWindow = 0.06
	// MinTempoGroup is the smallest group that is formed by tempo.
	MinTempoGroup = 8
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

// member is a reference with its tempo folded into one octave.
type member struct {
	*Track
	octave float64 // log2 of the tempo, modulo 1; NaN without a tempo
}

// references are the tracks that can serve, and their order by each quantity, so
// that the figures of any group are a walk and not a sort.
type references struct {
	members []member
	named   bool
	order   map[Quantity][]int // indices of members that have the quantity, rising
	index   map[int64]int      // of members, by ID
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

// pick keeps the tracks of the pool that can serve: measured whole. Named ones
// lead: if there are any, no other serves.
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
			members = append(members, member{t, fold(t.BPM)})
		}
	}
	return members, named
}

func newReferences(pool []Track) *references {
	r := &references{order: map[Quantity][]int{}, index: map[int64]int{}}
	r.members, r.named = pick(pool)
	for i, m := range r.members {
		r.index[m.ID] = i
	}
	for _, q := range quantities {
		var o []int
		for i, m := range r.members {
			if m.value(q).Exists() {
				o = append(o, i)
			}
		}
		slices.SortFunc(o, func(a, b int) int {
			return cmp.Compare(r.members[a].value(q), r.members[b].value(q))
		})
		r.order[q] = o
	}
	return r
}

// set says which members belong to a group, by index.
type set struct {
	in []bool
	n  int
}

// where makes the set of members that keep says yes to.
func (r *references) where(keep func(i int) bool) set {
	s := set{in: make([]bool, len(r.members))}
	for i := range r.members {
		if s.in[i] = keep(i); s.in[i] {
			s.n++
		}
	}
	return s
}

// near tells whether member i lies within TempoWindow of a folded tempo. Without
// a tempo nothing is near.
func (r *references) near(i int, octave float64) bool {
	return octaveDistance(r.members[i].octave, octave) <= octaveWindow
}

// octaveWindow is TempoWindow in octaves.
var octaveWindow = math.Log2(1 + TempoWindow)

// stats sums up every quantity of a group.
func (r *references) stats(s set) map[Quantity]Stat {
	out := make(map[Quantity]Stat, len(quantities))
	x := make([]float64, 0, s.n)
	for _, q := range quantities {
		x = x[:0]
		for _, i := range r.order[q] {
			if s.in[i] {
				x = append(x, float64(r.members[i].value(q)))
			}
		}
		if len(x) > 0 {
			out[q] = stat(x)
		}
	}
	return out
}

// stat sums up a sorted sample.
func stat(s []float64) Stat {
	v := func(p float64) detect.Value { return detect.Value(dsp.Quantile(s, p)) }
	return Stat{
		N: len(s), Median: v(0.5), P10: v(0.1), P90: v(0.9), Min: v(0), Max: v(1),
		Spread: detect.Value(math.Max(SpreadFloor, spread(s))), // NaN stays NaN
	}
}
