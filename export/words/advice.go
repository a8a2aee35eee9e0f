package words

import "dubgauge/library"

// Advice says what to change in the master of t beside its group, a sentence each.
func Advice(t *library.Track, group []library.Spectrum) []string {
	a := t.Advice(group)
	return a.Sentences(len(t.Tone) > 0)
}
