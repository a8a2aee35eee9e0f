package standout

import (
	"slices"

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
	opts Options
	refs *references
	all  *group         // of all references
	near map[int]*group // by the nearest reference, where there are many
}

// group is a reference group with its figures worked out.
type group struct {
	members []int   // indices of references
	ids     []int64 // theirs, see Judge.ids
	Group
	spreads map[Quantity]prediction
	judged  bool    // in its balance
	usual   float64 // distance of its members to one another, see kinship
	learnt  map[lesson]*predictor
}

// lesson is what a predictor is learnt for.
type lesson struct {
	figures mask
	apart   float64
}

// prediction is where another track of a group would lie in one figure, and how far from
// there.
type prediction struct{ centre, spread, dof float64 }

// New makes a Judge whose references are the tracks of the pool that are marked
// as such; other tracks in it do no harm. The pool is kept and must not change.
func New(pool []Track, opts Options) *Judge {
	return &Judge{opts: opts, refs: newReferences(pool), near: map[int]*group{}}
}

// LooksAmong lists by ID the references that likeness is looked for among. Of two Judges that
// list the same, each holds a track that it finds references like against the same ones.
func (j *Judge) LooksAmong() []int64 {
	if j.refs.named {
		return nil
	}
	ids := make([]int64, len(j.refs.spread))
	for k, i := range j.refs.spread {
		ids[k] = j.refs.members[i].ID
	}
	return ids
}

// Another is a Judge with the same references, for another goroutine.
func (j *Judge) Another() *Judge { return &Judge{opts: j.opts, refs: j.refs, near: map[int]*group{}} }

// ids lists the members of a group, in the order of the pool: the same slice each time.
func (j *Judge) ids(g *group) []int64 {
	if g.ids == nil {
		g.ids = make([]int64, 0, len(g.members))
		for _, i := range slices.Sorted(slices.Values(g.members)) {
			g.ids = append(g.ids, j.refs.members[i].ID)
		}
	}
	return g.ids
}

// selfLimit is the number of references up to which one of them is judged without
// itself where all serve; among more it makes no difference.
const selfLimit = 100

// groupOf finds the reference group of t: those named by hand, else the references
// that are like it, else all of them, unless they are so few that fixed values serve.
func (j *Judge) groupOf(t *Track) *group {
	self, is := j.refs.index[t.ID]
	if !is {
		self = -1
	}
	if !j.refs.named {
		if g := j.like(t, self); g != nil {
			return g
		}
	}
	if self >= 0 && len(j.refs.members) <= selfLimit {
		return j.everyone(self)
	}
	if j.all == nil {
		j.all = j.everyone(-1)
	}
	return j.all
}

// like is the group of the references that are like t, nil when there are none. Among
// many, it is that of the nearest of them.
func (j *Judge) like(t *Track, self int) *group {
	if len(j.refs.spread) < manyReferences {
		return j.ranked(j.refs.rank(t, self), t.BPM)
	}
	first, ok := j.refs.first(t, self)
	if !ok {
		return nil
	}
	if g := j.near[first]; g != nil {
		return g
	}
	ranking := j.refs.rank(j.refs.members[first].Track, -1)
	if ranking == nil { // the nearest has no kin itself, so t has a group of its own
		return j.ranked(j.refs.rank(t, self), t.BPM)
	}
	g := j.ranked(ranking, j.refs.members[first].BPM)
	j.near[first] = g
	return g
}

// ranked is the group of a ranking, about a tempo; nil when that is.
func (j *Judge) ranked(ranking []ranked, bpm detect.Value) *group {
	if ranking == nil {
		return nil
	}
	g := j.describe(alike(ranking), reason.BasisLike)
	g.BPM, g.judged = bpm, true
	return g
}

func (j *Judge) everyone(self int) *group {
	g := j.describe(j.refs.but(self), reason.BasisReleased)
	g.judged = g.Basis != reason.BasisFixed
	return g
}

// describe works out a group's figures. Too few references, unless they were
// named by hand, give way to fixed values.
func (j *Judge) describe(members []int, basis reason.Basis) *group {
	g := &group{members: members, Group: Group{Basis: basis, Tracks: len(members), BPM: detect.None, LUFS: fixedLevel,
		Stats: make(map[Quantity]Stat, len(quantities))}, spreads: make(map[Quantity]prediction, len(priors))}
	for _, q := range quantities {
		x := j.refs.values(members, q)
		if len(x) == 0 {
			continue
		}
		s := stat(x)
		g.Stats[q] = s
		if p, ok := priors[q]; ok {
			g.spreads[q] = moderated(x, float64(s.Median), p)
		}
	}
	if j.refs.named {
		g.Basis = reason.BasisNamed
	}
	if g.Tracks == 0 || (g.Tracks < MinGroup && !j.refs.named) {
		g.Basis, g.judged = reason.BasisFixed, false
		return g
	}
	g.usual = j.refs.usual(members)
	g.LUFS = g.Stats[Level].Median
	return g
}

// predictor of the group's balance in the figures that t has; nil when it cannot be
// judged.
func (j *Judge) predictor(t *Track, g *group, apart float64) (*predictor, tone) {
	x := t.tone()
	has := x.has()
	if !g.judged || has&balanced == 0 {
		return nil, x
	}
	key := lesson{has, apart}
	if p, ok := g.learnt[key]; ok {
		return p, x
	}
	by := has.judged()
	refs, made := j.having(g, by)
	if by&fine != 0 && len(refs) < MinGroup { // they were measured before the third octaves were
		by = (has &^ fine).judged()
		refs, made = j.having(g, by)
	}
	if len(refs) == 0 || (len(refs) < MinGroup && !j.refs.named) {
		return nil, x
	}
	p, _ := predict(refs, made, by.index(), apart)
	if g.learnt == nil {
		g.learnt = map[lesson]*predictor{}
	}
	g.learnt[key] = p
	return p, x
}

// kinship of a track with a group.
func (j *Judge) kinship(t *Track, g *group) kinship {
	self, is := j.refs.index[t.ID]
	if !is {
		self = -1
	}
	return kinship{j.refs.distance(t, self), g.usual, j.refs.named}
}

// having lists the tones of those in a group that have these figures, and their peaks.
func (j *Judge) having(g *group, figures mask) (refs []tone, made []peaks) {
	for _, i := range g.members {
		if m := j.refs.members[i].tone(); m.has()&figures == figures {
			refs, made = append(refs, m), append(made, j.refs.members[i].peaks())
		}
	}
	return refs, made
}
