package setlist

import (
	"cmp"
	"math"
	"slices"

	"dubgauge/detect"
	"dubgauge/detect/dsp"
	"dubgauge/detect/key"
	"dubgauge/detect/reason"
)

const (
	// ownSteps is how many steps a set must have for a spread of its own; with fewer, what is
	// audible stands out.
	ownSteps = 5
	// clashSure is the chance that both keys are right from which a clash is named: more likely
	// than not.
	clashSure = 0.5
	// clashOrdinary is the share of a set's steps that clash beyond which its DJ does not go
	// by keys. Of random pairs of keys 54 % are so far apart. Ours, no source.
	clashOrdinary = 1.0 / 3
)

// judged is how a quantity is flagged: its step, the limit, and the sentence's code. Those of
// a join are asked where the one of the loudest 30 s says nothing.
type judged struct {
	quantity Quantity
	code     string
	of       func(s *Step) detect.Value
	limit    func(l *Limits) float64
	unless   []Quantity
}

func levelLimit(l *Limits) float64 { return l.LevelLU }
func lowLimit(l *Limits) float64   { return l.LowEndDB }

var judgedAll = []judged{
	{Tempo, reason.TempoStep, func(s *Step) detect.Value { return s.Tempo.Percent }, func(l *Limits) float64 { return l.TempoPercent }, nil},
	{Level, reason.LevelStep, func(s *Step) detect.Value { return s.Level.LU }, levelLimit, nil},
	{Sub, reason.SubStep, func(s *Step) detect.Value { return s.Sub.DB }, lowLimit, nil},
	{Bass, reason.BassStep, func(s *Step) detect.Value { return s.Bass.DB }, lowLimit, []Quantity{Sub}},
	{JoinLevel, reason.JoinLevel, joined(func(s *Step) (LevelStep, detect.Value) { return s.JoinLevel, s.JoinLevel.LU }), levelLimit, []Quantity{Level}},
	{JoinSub, reason.JoinSub, joinedLow(func(s *Step) LowStep { return s.JoinSub }), lowLimit, []Quantity{Sub, Bass}},
	{JoinBass, reason.JoinBass, joinedLow(func(s *Step) LowStep { return s.JoinBass }), lowLimit, []Quantity{Sub, Bass, JoinSub}},
}

// joined and joinedLow are the steps of a join where its parts were measured.
func joined(of func(s *Step) (LevelStep, detect.Value)) func(s *Step) detect.Value {
	return func(s *Step) detect.Value {
		step, lu := of(s)
		if step.Confidence > 0 {
			return lu
		}
		return detect.None
	}
}

func joinedLow(of func(s *Step) LowStep) func(s *Step) detect.Value {
	return func(s *Step) detect.Value {
		if step := of(s); step.Confidence > 0 {
			return step.DB
		}
		return detect.None
	}
}

// flag marks what is audible and out of the ordinary for the set.
func (s *Set) flag(l Limits) {
	s.Ordinary = map[Quantity]Ordinary{}
	for i := range judgedAll {
		j := &judgedAll[i]
		usual := s.usual(j.of)
		s.Ordinary[j.quantity] = usual
		for k := range s.Steps {
			s.Steps[k].flag(j, &l, &usual)
		}
	}
	s.flagKeys(l.KeyNotes)
	for k := range s.Steps {
		slices.SortStableFunc(s.Steps[k].Flags, func(a, b Flag) int { return -cmp.Compare(a.Past, b.Past) })
	}
}

// madConsistency makes the median distance estimate the standard deviation of normal data:
// 1/Phi^-1(3/4). P. J. Rousseeuw and C. Croux, "Alternatives to the median absolute
// deviation", JASA 88, 1993. The centre is no step at all: what goes up comes down, and a
// set that swings from track to track is used to it either way.
const madConsistency = 1.4826

// usual is what the steps of the set are in one quantity.
func (s *Set) usual(of func(*Step) detect.Value) Ordinary {
	var x []float64
	for i := range s.Steps {
		if v := of(&s.Steps[i]); v.Exists() {
			x = append(x, math.Abs(float64(v)))
		}
	}
	o := Ordinary{Steps: len(x), Median: detect.None, Spread: detect.None}
	if len(x) >= ownSteps {
		o.Median = detect.Value(dsp.Median(x))
		o.Spread = madConsistency * o.Median
	}
	return o
}

// unusual tells that a step lies out of the ordinary. With too few steps all do.
func (o *Ordinary) unusual(v, spreads float64) bool {
	return !o.Spread.Exists() || math.Abs(v) > spreads*float64(o.Spread)
}

func (s *Step) flag(j *judged, l *Limits, usual *Ordinary) {
	v := float64(j.of(s))
	past := math.Abs(v) / j.limit(l)
	if !(past >= 1) || !usual.unusual(v, l.Spreads) || s.flagged(j.unless) {
		return
	}
	said := reason.Step{Code: j.code, Off: v, Missing: s.missing(j.quantity), Semitones: float64(s.Tempo.Semitones), Left: float64(s.Level.LevelledLU)}
	if j.quantity == JoinLevel {
		said.Left = float64(s.JoinLevel.LevelledLU)
	}
	s.Flags = append(s.Flags, Flag{Quantity: j.quantity, Code: j.code, Note: said.Sentence(), Past: detect.Value(past)})
}

// missing tells which of the two tracks has next to nothing of what a quantity is about.
func (s *Step) missing(q Quantity) reason.Missing {
	if low := map[Quantity]*LowStep{Sub: &s.Sub, Bass: &s.Bass, JoinSub: &s.JoinSub, JoinBass: &s.JoinBass}[q]; low != nil {
		return low.Missing
	}
	return ""
}

// flagged tells that one of some quantities stands out already.
func (s *Step) flagged(some []Quantity) bool {
	return slices.ContainsFunc(s.Flags, func(f Flag) bool { return slices.Contains(some, f.Quantity) })
}

// flagKeys marks keys that differ by so many notes, unless they are the rule in this set.
func (s *Set) flagKeys(notes float64) {
	known, clashes := 0, 0
	for i := range s.Steps {
		k := &s.Steps[i].Key
		if k.Relation == key.Unknown {
			continue
		}
		known++
		if k.clashes(notes) {
			clashes++
		}
	}
	if known == 0 || float64(clashes) > clashOrdinary*float64(known) && known >= ownSteps {
		return
	}
	for i := range s.Steps {
		st := &s.Steps[i]
		if k := &st.Key; k.clashes(notes) && k.Confidence >= clashSure {
			st.Flags = append(st.Flags, Flag{Quantity: KeyStep, Code: reason.KeyClash, Note: k.said().Sentence(), Past: k.Confidence * detect.Value(float64(k.apart())/notes)})
		}
	}
}

func (h *HarmonyStep) apart() int { return key.Apart(parsed(h.From), parsed(h.To)) }

// clashes tells of two keys whose scales differ by so many notes; the parallel key has the same
// tonic and is none.
func (h *HarmonyStep) clashes(notes float64) bool {
	return float64(h.apart()) >= notes && h.Relation != key.Parallel
}

func (h *HarmonyStep) said() reason.Step {
	s := reason.Step{Code: reason.KeyClash, From: h.From, To: h.To, Relation: reason.Harmony[h.Relation], Sure: float64(h.Confidence)}
	if h.Pitched != "" && h.Pitched != h.To {
		s.Pitched = reason.Harmony[h.PitchedRelation]
	}
	return s
}

// Audible counts the steps past the limits, whatever is ordinary; of keys, those that clash.
type Audible struct {
	Tempo, Key, Level, LowEnd int
}

// Audible counts the steps of a set.
func (s *Set) Audible(l Limits) (n Audible) {
	l = Options{Limits: l}.filled().Limits
	past := func(v detect.Value, limit float64) int {
		if math.Abs(float64(v)) >= limit {
			return 1
		}
		return 0
	}
	for i := range s.Steps {
		st := &s.Steps[i]
		n.Tempo += past(st.Tempo.Percent, l.TempoPercent)
		n.Level += past(st.Level.LU, l.LevelLU)
		n.LowEnd += max(past(st.Sub.DB, l.LowEndDB), past(st.Bass.DB, l.LowEndDB))
		if st.Key.clashes(l.KeyNotes) {
			n.Key++
		}
	}
	return n
}
