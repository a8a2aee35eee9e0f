package reason

import (
	"fmt"
	"math"

	"dubgauge/detect/key"
)

// Codes of what stands out in a step from one track to the next.
const (
	LevelStep = "level step"
	SubStep   = "sub step"
	BassStep  = "bass step"
	TempoStep = "tempo step"
	KeyClash  = "key clash"
	JoinLevel = "level at the join"
	JoinSub   = "sub at the join"
	JoinBass  = "bass at the join"
)

// Harmony says in the words of music theory how the key of a track stands to the one before.
var Harmony = map[key.Relation]string{
	key.Same: "the same key", key.Relative: "its relative key", key.Parallel: "its parallel key", key.FifthUp: "a fifth up",
	key.FifthDown: "a fifth down", key.Semitone: "a semitone away", key.Far: "a distant key",
}

// LeastLowEnd in dB over what lies above 150 Hz is where sub and bass of a track end for whoever mixes
// it: in mastered club music they lie at -8 or more (measured, 13 pieces), and no equaliser brings
// up more than MaxAdvice.
const LeastLowEnd = -8.0 - MaxAdvice

// NextToNone tells of the level of sub or bass, in dB over what lies above 150 Hz, that a track has
// nothing there that can be mixed.
func NextToNone(dB float64) bool { return dB <= LeastLowEnd }

// Missing tells which of two tracks has next to no sub, or bass, where the other has some.
type Missing string

// The one that comes in, and the one that goes out.
const (
	MissingIn  Missing = "incoming"
	MissingOut Missing = "outgoing"
)

// Step is something that stands out in a step of a running order.
type Step struct {
	Code string
	Off  float64 // by how much the incoming track differs: LU, dB or percent
	// Missing is set where the figure of sub or bass tells only that one of the tracks has none.
	Missing Missing
	// Left is the step of level that the trims of the list leave, in LU.
	Left float64
	// Semitones is what happens to the pitch without key lock; NaN where it is not known.
	Semitones float64
	// Of a clash: the keys, how they stand to each other in words, the chance that both are
	// right, and what is heard without key lock, in words; empty where it is the same.
	From, To, Relation, Pitched string
	Sure                        float64
}

// Sentence says what, by how much, and what to do.
func (s Step) Sentence() string {
	if s.Missing != "" {
		return s.without()
	}
	switch s.Code {
	case LevelStep:
		return fmt.Sprintf("%s LU %s than the track before it; with the trims of the list %s.", size(s.Off), s.than("louder", "quieter"), signed(s.Left))
	case JoinLevel:
		return fmt.Sprintf("Its start is %s LU %s than the end before it, with the trims of the list %s: ride the fader while both play.",
			size(s.Off), s.than("louder", "quieter"), signed(s.Left))
	case SubStep, BassStep:
		return fmt.Sprintf("%s dB %s %s than the track before it, which no trim changes: %s its low EQ, or play it elsewhere.",
			size(s.Off), s.than("more", "less"), band[s.Code], s.than("turn down", "turn up"))
	case JoinSub, JoinBass:
		return fmt.Sprintf("Its start has %s dB %s %s than the end before it: bring the low EQs across with care.",
			size(s.Off), s.than("more", "less"), band[s.Code])
	case TempoStep:
		return fmt.Sprintf("%s %% %s than the track before it: at that one's tempo it sounds %s semitones %s without key lock. Cut, or put a track between.",
			size(s.Off), s.than("faster", "slower"), size(s.Semitones), map[bool]string{true: "higher", false: "lower"}[s.Semitones > 0])
	}
	return fmt.Sprintf("%s after %s, %s: mix where one of them is drums alone%s.", s.To, s.From, s.Relation, s.locked())
}

// without says which of the tracks has next to nothing of a band, and what to do: what is not
// there no EQ turns up.
func (s Step) without() string {
	b, in := band[s.Code], s.Missing == MissingIn
	switch join := s.Code == JoinSub || s.Code == JoinBass; {
	case join && in:
		return fmt.Sprintf("Its start has next to no %s, the end before it has: keep the low end of that one until its own comes.", b)
	case join:
		return fmt.Sprintf("Its start brings %s, the end before it has next to none: open its low EQ slowly.", b)
	case in:
		return fmt.Sprintf("Next to no %s, the track before it has: no EQ brings up what is not there. Keep the low end of that one while both play, or play it elsewhere.", b)
	}
	return fmt.Sprintf("It brings %s, the track before it has next to none: open its low EQ slowly, or play it elsewhere.", b)
}

// band says which part of the low end a code is about.
var band = map[string]string{
	SubStep: "sub (20 to 60 Hz)", BassStep: "bass (60 to 150 Hz)", JoinSub: "sub (20 to 60 Hz)", JoinBass: "bass (60 to 150 Hz)",
}

func (s Step) than(more, less string) string {
	if s.Off > 0 {
		return more
	}
	return less
}

// locked says how sure a clash is, and what it becomes without key lock.
func (s Step) locked() string {
	text := fmt.Sprintf(" (%.0f %% sure", 100*s.Sure)
	if s.Pitched != "" {
		text += "; without key lock " + s.Pitched
	}
	return text + ")"
}

// signed writes a figure with its sign.
func signed(v float64) string { return fmt.Sprintf("%+.1f", tenth(v)) }

// Levelled is what came of levelling a set.
type Levelled struct {
	Tracks, Changed int     // with a level; whose trims differ from the single ones
	Total           float64 // by how much in all, dB
	Asked, Limit    float64 // LU
	Kept            bool
	// Of what stands in the way: places counted from 1, the loud track's least trim and the
	// quiet one's most, in dB, and what is missing in LU.
	From, To, Quiet  int
	Steps            int // between them
	Low, High, Short float64
}

// Sentence says whether every step is within the limit, at what price, and what stands in the
// way where it is not.
func (l Levelled) Sentence() string {
	switch {
	case l.Tracks == 0:
		return "No track has a level."
	case l.Kept && l.Changed == 0:
		return fmt.Sprintf("The single trims keep every step within %.1f LU.", l.Limit)
	case l.Kept:
		return fmt.Sprintf("Every step stays within %.1f LU with %d of %s changed, by %.1f dB in all.",
			l.Limit, l.Changed, Counted(l.Tracks, "single trim"), l.Total)
	}
	loud := l.From + l.To - l.Quiet
	return fmt.Sprintf("Steps within %.1f LU cannot be had: track %d goes down by %.1f dB at most and track %d up by %.1f dB at most, which leaves %.1f LU too much for %s between them. The least that can be kept is %.1f LU: the trims are for that.",
		l.Asked, loud, math.Abs(l.Low), l.Quiet, l.High, l.Short, Counted(l.Steps, "step"), l.Limit)
}
