package words

import (
	"fmt"
	"slices"

	"dubgauge/detect"
	"dubgauge/detect/advice"
	"dubgauge/detect/reason"
	"dubgauge/library"
)

// Advice says what to change in the master of t, a sentence each; a is what was worked
// out beside its group.
func Advice(t *library.Track, a *advice.Advice) []string { return a.Sentences(len(t.Tone) > 0) }

// Width says how the two channels of t stand to each other, and to its group; nothing for
// a track that has not two.
func (s Style) Width(t *library.Track, a *advice.Advice) []string {
	var out []string
	if w := t.Width; w != nil {
		line := ""
		if w.LowCorrelation.Exists() {
			line = fmt.Sprintf("Correlation below 150 Hz %s; ", s.Signed(w.LowCorrelation, 2))
		}
		out = append(out, Capital(line+reason.MonoPlace(float64(w.MonoWorstDB), float64(w.MonoWorstHz), float64(w.MonoWorstAtS))+"."))
	}
	if a.Unlike || lacksASide(t) {
		return out // nothing to hold against theirs
	}
	return append(out, a.Sides.Sentences(a.References)...)
}

// lacksASide tells that a channel of t is dead or upside down, which its width is then that of.
func lacksASide(t *library.Track) bool {
	return slices.ContainsFunc(t.Faults, func(f detect.Fault) bool {
		return f.Kind == string(reason.DeadChannel) || f.Kind == string(reason.Polarity)
	})
}
