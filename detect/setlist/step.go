package setlist

import (
	"dubgauge/detect"
	"dubgauge/detect/key"
	"dubgauge/detect/reason"
)

// Set is a running order with all that is said of it.
type Set struct {
	Tracks []Track `json:"tracks"`
	// Steps has one step less than there are tracks: Steps[i] leads from Tracks[i] to Tracks[i+1].
	Steps     []Step    `json:"steps"`
	Levelling Levelling `json:"levelling"`
	// Ordinary is what is usual in this set, by the quantity.
	Ordinary map[Quantity]Ordinary `json:"ordinary"`
	// CostTotal is the sum of the steps' costs; see Weights.
	CostTotal detect.Value `json:"cost"`
}

// Quantity is one of the figures of a step that can stand out.
type Quantity string

// The quantities. Level, Sub and Bass compare the loudest 30 s; JoinLevel, JoinSub and
// JoinBass the end that is mixed out of with the start that is mixed in.
const (
	Level     Quantity = "level"
	Sub       Quantity = "sub"
	Bass      Quantity = "bass"
	JoinLevel Quantity = "join level"
	JoinSub   Quantity = "join sub"
	JoinBass  Quantity = "join bass"
	Tempo     Quantity = "tempo"
	KeyStep   Quantity = "key"
)

// Step is what happens from one track to the next: the figure of the incoming one less that
// of the outgoing one.
type Step struct {
	Level     LevelStep   `json:"level"`
	JoinLevel LevelStep   `json:"join_level"`
	Sub       LowStep     `json:"sub"`
	Bass      LowStep     `json:"bass"`
	JoinSub   LowStep     `json:"join_sub"`
	JoinBass  LowStep     `json:"join_bass"`
	Tempo     TempoStep   `json:"tempo"`
	Key       HarmonyStep `json:"key"`
	// Flags are what stands out, the gravest first; empty for most steps.
	Flags []Flag `json:"flags"`
	Cost  Cost   `json:"cost"`
}

// LevelStep is a step of level in LU.
type LevelStep struct {
	LU         detect.Value `json:"lu"`          // as the files are
	SingleLU   detect.Value `json:"single_lu"`   // each with its single trim
	LevelledLU detect.Value `json:"levelled_lu"` // each with its trim of Levelling
	Confidence detect.Value `json:"confidence"`
}

// LowStep is a step of the low end in dB, which no trim changes. What lies under
// reason.LeastLowEnd counts as that: how far under the music nothing lies is no step.
type LowStep struct {
	DB         detect.Value `json:"db"`
	Confidence detect.Value `json:"confidence"`
	// Missing tells that one of the two has next to nothing there, and which; empty where both
	// have something, or neither.
	Missing reason.Missing `json:"missing,omitempty"`
}

// TempoStep is a change of tempo.
type TempoStep struct {
	// Percent is by how much the incoming track is faster, octaves folded: 174 after 87 BPM
	// is 0.
	Percent detect.Value `json:"percent"`
	// Semitones is what happens to the pitch of the incoming track when it is played at the
	// tempo of the outgoing one without key lock; Cents is the same.
	Semitones  detect.Value `json:"semitones"`
	Cents      detect.Value `json:"cents"`
	Confidence detect.Value `json:"confidence"`
}

// HarmonyStep is how the incoming key stands to the outgoing one.
type HarmonyStep struct {
	From     string       `json:"from"` // key names; empty for none
	To       string       `json:"to"`
	Relation key.Relation `json:"relation"` // empty where a key is not known
	// Pitched is the incoming key when it is played at the outgoing tempo without key lock,
	// to the nearest semitone; OffCents is how far it lies from that, and PitchedRelation how it
	// stands to the outgoing key. Empty without both tempi.
	Pitched         string       `json:"pitched"`
	PitchedRelation key.Relation `json:"pitched_relation"`
	OffCents        detect.Value `json:"off_cents"`
	// Confidence is the chance that both keys are right.
	Confidence detect.Value `json:"confidence"`
}

// Flag is something that stands out in a step: audible, and out of the ordinary for the set.
type Flag struct {
	Quantity Quantity `json:"quantity"`
	Code     string   `json:"code"` // short, see reason.Step
	Note     string   `json:"note"` // in a sentence: what, by how much, what to do
	// Past is how many times the audible limit the step is.
	Past detect.Value `json:"past"`
}

// Ordinary is what the steps of a set usually are in one quantity.
type Ordinary struct {
	Steps  int          `json:"steps"`  // that have it
	Median detect.Value `json:"median"` // step without its sign, in its unit; none with few steps
	Spread detect.Value `json:"spread"` // robust standard deviation about no step
}

// Cost is what a step costs, in parts whose sum is Total; 1 is a step at the audible limit
// of a quantity of weight 1.
type Cost struct {
	Tempo  float64 `json:"tempo"`
	Key    float64 `json:"key"`
	Level  float64 `json:"level"`
	LowEnd float64 `json:"low_end"`
	Aim    float64 `json:"aim"`
	Total  float64 `json:"total"`
}

// Levelling is one trim a track that levels the whole set.
type Levelling struct {
	// Trims are in dB, in steps of 0.1, one a track; None for a track without a level.
	Trims []detect.Value `json:"trims_db"`
	// LimitLU is the step that none exceeds. It is what was asked for, or, where that cannot be
	// had (Kept is false), the least that can.
	LimitLU detect.Value `json:"limit_lu"`
	AskedLU detect.Value `json:"asked_lu"`
	Kept    bool         `json:"kept"`
	// By says which parts are levelled.
	By By `json:"by"`
	// Changed counts the trims that differ from the single ones, TotalDB adds up by how much.
	Changed int          `json:"changed"`
	TotalDB detect.Value `json:"total_db"`
	// Conflict says what stands in the way; nil when nothing does.
	Conflict *Conflict `json:"conflict,omitempty"`
	Note     string    `json:"note"` // all that in a sentence or two
}

// By says which parts of two tracks are brought to one level.
type By string

// Loudest levels the loudest 30 s of each track, Ends the end that is mixed out of and the
// start that is mixed in.
const (
	ByLoudest By = "loudest"
	ByEnds    By = "ends"
)

// Conflict is why a limit cannot be kept: between the tracks at two places the level cannot
// change by as much as the bounds of their trims ask for.
type Conflict struct {
	From    int          `json:"from"` // places, From < To
	To      int          `json:"to"`
	ShortLU detect.Value `json:"short_lu"` // by how much the steps between would exceed the limit, all together
	LowDB   detect.Value `json:"low_db"`   // the least trim of the one that is too loud
	HighDB  detect.Value `json:"high_db"`  // the most of the one that is too quiet
	Quiet   int          `json:"quiet"`    // the place of that one
}

// Suggestion is another order of the same tracks.
type Suggestion struct {
	// Order gives the place in the given order of each track of the new one.
	Order  []int `json:"order"`
	Exact  bool  `json:"exact"` // no order is cheaper
	Before Cost  `json:"before"`
	After  Cost  `json:"after"`
}

// Follower is a track that could follow another.
type Follower struct {
	Index int  `json:"-"` // in the list of those that were asked
	Step  Step `json:"step"`
}
