package words

import (
	"dubgauge/detect"
	"dubgauge/library"
)

// Loudest says how loud the loudest 30 s are, where they begin, over how much of them
// that was measured when it was not all, and how loud a mono file plays.
func (s Style) Loudest(t *library.Track) string {
	l := &t.Loudness
	text := s.Figure(l.Loudest30sLUFS, "LUFS")
	if !l.Loudest30sLUFS.Exists() {
		return text
	}
	if l.Loudest30sStartS.Exists() {
		text += " from " + s.Clock(l.Loudest30sStartS)
	}
	if over := l.Loudest30sOverS; over > 0 && over < wholeSeconds {
		text += ", over the " + s.Figure(over, "s") + " that sound"
	}
	if t.OneChannel() {
		text += "; as mono, it plays at " + s.Figure(t.PlayedLUFS(), "LUFS") + " on two loudspeakers"
	}
	return text
}

// wholeSeconds are 30, as long as they read so with one decimal.
const wholeSeconds = detect.Value(29.95)
