package setlist

import (
	"dubgauge/detect"
	"dubgauge/detect/key"
	"dubgauge/detect/reason"
)

// Check holds each track of an order against the one before it.
func Check(tracks []Track, o Options) Set {
	o = o.filled()
	s := Set{Tracks: tracks, Steps: make([]Step, max(0, len(tracks)-1))}
	s.Levelling = level(tracks, o)
	w := o.costs()
	total := 0.0
	for i := range s.Steps {
		s.Steps[i] = stepOf(&tracks[i], &tracks[i+1])
		s.Steps[i].Cost = w.of(&tracks[i], &tracks[i+1])
		s.Steps[i].levelled(s.Levelling.Trims[i], s.Levelling.Trims[i+1])
		total += s.Steps[i].Cost.Total
	}
	s.CostTotal = detect.Value(total)
	s.flag(o.Limits)
	return s
}

// stepOf is the step from a to b, as they are.
func stepOf(a, b *Track) Step {
	joined := min(covers(&a.End, &b.Start), ends(a), ends(b))
	loudest := covers(&a.Loudest, &b.Loudest)
	s := Step{
		Level:     levelStep(a.Loudest.LUFS, b.Loudest.LUFS, a, b, loudest),
		JoinLevel: levelStep(a.End.LUFS, b.Start.LUFS, a, b, joined),
		Sub:       lowStep(a.Loudest.SubDB, b.Loudest.SubDB, loudest),
		Bass:      lowStep(a.Loudest.BassDB, b.Loudest.BassDB, loudest),
		JoinSub:   lowStep(a.End.SubDB, b.Start.SubDB, joined),
		JoinBass:  lowStep(a.End.BassDB, b.Start.BassDB, joined),
		Tempo:     tempoStep(a, b),
		Flags:     []Flag{},
	}
	s.Key = harmonyStep(a, b, s.Tempo.Semitones)
	return s
}

// covers is how much there was of both parts.
func covers(a, b *Part) detect.Value { return min(a.Covered, b.Covered) }

// ends is 1 where the ends of a track were measured, and 0 where the loudest 30 s stand in.
func ends(t *Track) detect.Value {
	if t.Ends {
		return 1
	}
	return 0
}

func levelStep(from, to detect.Value, a, b *Track, confidence detect.Value) LevelStep {
	lu := to - from
	return LevelStep{LU: lu, SingleLU: lu + orNothing(b.TrimDB) - orNothing(a.TrimDB), LevelledLU: lu, Confidence: known(lu, confidence)}
}

// levelled adds the trims that level the set.
func (s *Step) levelled(from, to detect.Value) {
	gain := orNothing(to) - orNothing(from)
	s.Level.LevelledLU = s.Level.LU + gain
	s.JoinLevel.LevelledLU = s.JoinLevel.LU + gain
}

// orNothing is a trim, 0 dB where there is none.
func orNothing(v detect.Value) detect.Value {
	if !v.Exists() {
		return 0
	}
	return v
}

// known is the confidence of a figure that exists, and 0 of one that does not.
func known(v, confidence detect.Value) detect.Value {
	if !v.Exists() {
		return 0
	}
	return confidence
}

// leastMissed in dB is how much sub or bass the other track must have for one to lack it: twice
// what is plainly audible (standout.AudibleLowEnd, and again). Our judgement.
const leastMissed = 6

func lowStep(from, to, confidence detect.Value) LowStep {
	dB := lower(from, to)
	s := LowStep{DB: dB, Confidence: known(dB, confidence)}
	switch {
	case dB <= -leastMissed && reason.NextToNone(float64(to)):
		s.Missing = reason.MissingIn
	case dB >= leastMissed && reason.NextToNone(float64(from)):
		s.Missing = reason.MissingOut
	}
	return s
}

// Heard is a level of sub or bass, in dB over what lies above 150 Hz, as it counts in a set: less
// than reason.LeastLowEnd is as little.
func Heard(dB detect.Value) detect.Value { return max(dB, reason.LeastLowEnd) }

// lower is by how much one part of the low end is stronger than the one before it, in dB.
func lower(from, to detect.Value) detect.Value { return Heard(to) - Heard(from) }

func tempoStep(a, b *Track) TempoStep {
	if !(a.EndBPM > 0) || !(b.BPM > 0) {
		return TempoStep{Percent: detect.None, Semitones: detect.None, Cents: detect.None}
	}
	ratio := folded(float64(a.EndBPM), float64(b.BPM))
	pitch := detect.Value(Pitch(ratio))
	return TempoStep{Percent: detect.Value(percent(ratio)), Semitones: pitch, Cents: 100 * pitch,
		Confidence: both(a.TempoConfidence, b.TempoConfidence)}
}

// both is the chance that two figures are right; 0 where it is not known of either.
func both(a, b detect.Value) detect.Value {
	p := a * b
	if !p.Exists() {
		return 0
	}
	return max(0, min(1, p))
}

func harmonyStep(a, b *Track, semitones detect.Value) HarmonyStep {
	h := HarmonyStep{From: a.EndKeyName, To: b.KeyName, Relation: key.Relate(a.EndKey, b.Key), OffCents: detect.None}
	if h.Relation == key.Unknown {
		return h
	}
	h.Confidence = both(a.KeyConfidence, b.KeyConfidence)
	if semitones.Exists() {
		to, cents := b.Key.Pitched(float64(semitones))
		h.Pitched, h.PitchedRelation, h.OffCents = to.String(), key.Relate(a.EndKey, to), detect.Value(cents)
	}
	return h
}
