package words

import (
	"fmt"
	"math"
	"strings"

	"dubgauge/detect"
	"dubgauge/detect/key"
	"dubgauge/detect/reason"
	"dubgauge/detect/setlist"
)

// harmonies are how a key stands to the one before, in the words of music theory, short
// enough for a table.
var harmonies = map[key.Relation]string{
	key.Same: "same", key.Relative: "relative", key.Parallel: "parallel", key.FifthUp: "fifth up", key.FifthDown: "fifth down",
	key.Semitone: "semitone", key.Far: "distant",
}

// Harmony is that relation; a dash, or nothing, where a key is not known.
func (s Style) Harmony(r key.Relation) string {
	if word := harmonies[r]; word != "" {
		return word
	}
	return s.none
}

// Follows says in a line how a track goes after another: key, tempo, level and low end.
func (s Style) Follows(st *setlist.Step) string {
	var said []string
	if st.Key.Relation != key.Unknown {
		said = append(said, reason.Harmony[st.Key.Relation]+s.sure(st.Key.Confidence))
	}
	if p := st.Tempo.Percent; p.Exists() {
		said = append(said, s.compared(p, "%", "faster", "slower", "the same tempo"))
	}
	if lu := st.Level.LU; lu.Exists() {
		said = append(said, s.compared(lu, "LU", "louder", "quieter", "as loud"))
	}
	for _, low := range []struct {
		name string
		step *setlist.LowStep
	}{{"sub", &st.Sub}, {"bass", &st.Bass}} {
		switch {
		case low.step.Missing == reason.MissingIn:
			said = append(said, "no "+low.name)
		case low.step.Missing == reason.MissingOut:
			said = append(said, low.name+" after none")
		case low.step.DB.Exists():
			said = append(said, s.compared(low.step.DB, "dB", "more "+low.name, "less "+low.name, "as much "+low.name))
		}
	}
	if len(said) == 0 {
		return "nothing that could be compared was measured"
	}
	return strings.Join(said, ", ")
}

// Low is a step of the low end in a column: a figure, or which of the two tracks has nothing there.
func (s Style) Low(step *setlist.LowStep) string {
	switch step.Missing {
	case reason.MissingIn:
		return "none"
	case reason.MissingOut:
		return "enters"
	}
	return s.Change(step.DB, "")
}

// compared writes a difference, to a tenth, without its sign.
func (s Style) compared(v detect.Value, unit, more, less, same string) string {
	size := detect.Value(math.Abs(float64(v)))
	text := s.Figure(size, unit) + " "
	switch {
	case s.Number(size, 1) == s.Number(0, 1):
		return same
	case v > 0:
		return text + more
	}
	return text + less
}

// Costs say what an order costs before and after, part by part, which parts it makes better or
// worse, and how many steps are past the limit.
func Costs(before, after setlist.Cost, past, pastAfter setlist.Audible) []string {
	var lines []string
	for _, p := range []struct {
		name, what    string
		before, after float64
		past, left    int
	}{
		{"tempo", "past the limit", before.Tempo, after.Tempo, past.Tempo, pastAfter.Tempo},
		{"key", "clashes", before.Key, after.Key, past.Key, pastAfter.Key},
		{"level", "past the limit", before.Level, after.Level, past.Level, pastAfter.Level},
		{"low end", "past the limit", before.LowEnd, after.LowEnd, past.LowEnd, pastAfter.LowEnd},
		{"aim", "", before.Aim, after.Aim, 0, 0},
	} {
		if p.before == 0 && p.after == 0 {
			continue
		}
		line := fmt.Sprintf("%-8s%7.1f -> %.1f  %s", p.name, p.before, p.after, moved(p.before, p.after))
		if p.what != "" {
			line += fmt.Sprintf("; %s: %d -> %d", p.what, p.past, p.left)
		}
		lines = append(lines, line)
	}
	return lines
}

// moved says which way a cost goes, as it is written.
func moved(before, after float64) string {
	b, a := math.Round(10*before), math.Round(10*after)
	switch {
	case a < b:
		return "better"
	case a > b:
		return "worse"
	}
	return "as before"
}

// Levelled is the sentence of a levelling, with what a trim of the file allows.
func Levelled(l *setlist.Levelling) string {
	parts := "the loudest 30 s"
	if l.By == setlist.ByEnds {
		parts = "the end before and the start"
	}
	return l.Note + " Levelled by " + parts + "."
}
