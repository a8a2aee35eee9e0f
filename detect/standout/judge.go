package standout

import (
	"math"

	"dubgauge/detect"
	"dubgauge/detect/reason"
)

// DefaultCeiling is the output ceiling in dBTP that a trim may not pass: 0.3 dB
// under full scale, since lossy encoding overshoots. Common practice, no source.
const DefaultCeiling = -0.3

// Options of a Judge. The zero value is the default.
type Options struct {
	Ceiling *float64 // dBTP; nil is DefaultCeiling
}

func (o Options) ceiling() float64 {
	if o.Ceiling == nil {
		return DefaultCeiling
	}
	return *o.Ceiling
}

// Judge holds the references of a library. It is used by one goroutine.
type Judge struct {
	opts    Options
	refs    *references
	all     *group // of all references
	byTempo map[detect.Value]*group
}

// group is a reference group with its figures worked out.
type group struct {
	members set
	Group
}

// New makes a Judge whose references are the tracks of the pool that are marked
// as such; other tracks in it do no harm. The pool is kept and must not change.
func New(pool []Track, opts Options) *Judge {
	return &Judge{opts: opts, refs: newReferences(pool), byTempo: map[detect.Value]*group{}}
}

// Group lists the references that a track is held against, by ID, in the order
// of the pool. Where fixed values serve, these are the few that there are.
func (j *Judge) Group(t Track) []int64 {
	ids := []int64{}
	for i, in := range j.groupOf(&t).members.in {
		if in {
			ids = append(ids, j.refs.members[i].ID)
		}
	}
	return ids
}

// selfLimit is the group size up to which a reference is judged without itself
// among its references; in larger groups it makes no difference.
const selfLimit = 100

// groupOf finds the reference group of t: the references near its tempo, if
// there are enough; else all of them, unless they are so few that fixed values
// serve.
func (j *Judge) groupOf(t *Track) *group {
	bpm := j.near(t.BPM)
	g, ok := j.byTempo[bpm] // never found without a tempo, as NaN differs from itself
	if !ok {
		g = j.form(bpm, -1)
		if bpm.Exists() {
			j.byTempo[bpm] = g
		}
	}
	if self, ok := j.refs.index[t.ID]; ok && g.Tracks <= selfLimit {
		return j.form(t.BPM, self)
	}
	return g
}

// With more references than manyReferences, tracks whose tempi lie within one
// step of tempoStep octaves (0.27 %) share a group, the one about the middle of
// the step: the edge of the 6 % then moves by 0.14 %, which is less than tempo
// faders resolve, and a library of tens of thousands is judged in a second.
const (
	manyReferences = 1000
	tempoStep      = 1.0 / 256
)

// near is the tempo that stands for bpm when groups are formed.
func (j *Judge) near(bpm detect.Value) detect.Value {
	if len(j.refs.members) <= manyReferences || !bpm.Exists() || bpm <= 0 {
		return bpm
	}
	return detect.Value(math.Exp2(math.Round(math.Log2(float64(bpm))/tempoStep) * tempoStep))
}

// form makes the group of a tempo, leaving out the reference with index self.
func (j *Judge) form(bpm detect.Value, self int) *group {
	octave := fold(bpm)
	s := j.refs.where(func(i int) bool { return i != self && j.refs.near(i, octave) })
	if s.n >= MinTempoGroup {
		return j.describe(s, reason.BasisTempo, bpm)
	}
	if self < 0 && j.all != nil {
		return j.all
	}
	g := j.describe(j.refs.where(func(i int) bool { return i != self }), reason.BasisReleased, detect.None)
	if self < 0 {
		j.all = g
	}
	return g
}

// describe works out a group's figures. Too few references, unless they were
// named by hand, give way to fixed values.
func (j *Judge) describe(s set, basis reason.Basis, bpm detect.Value) *group {
	g := &group{members: s, Group: Group{Basis: basis, Tracks: s.n, BPM: bpm, Stats: j.refs.stats(s)}}
	if j.refs.named {
		g.Basis = reason.BasisNamed
	}
	if s.n == 0 || (s.n < MinGroup && !j.refs.named) {
		g.Basis, g.LUFS = reason.BasisFixed, fixedLevel
		return g
	}
	g.LUFS = g.Stats[Level].Median
	return g
}
