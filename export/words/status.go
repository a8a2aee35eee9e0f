package words

import (
	"fmt"
	"strings"

	"dubgauge/library"
)

// Decided says how a track's status came about.
func Decided(t *library.Track) string {
	s := ""
	switch {
	case t.Marks.Status != "":
		s = "You marked it as " + string(t.Marks.Status) + "."
	case t.Status == library.Unknown && len(t.Evidence) == 0:
		s = "Unknown: nothing says whether it came out. It is judged, but never serves as a reference."
	case t.Status == library.Unknown:
		s = "Unknown: what was found points both ways. It is judged, but never serves as a reference."
	default:
		s = Capital(string(t.Status)) + ", from what was found:"
	}
	if t.Marks.Reference {
		s += " You named it as a reference."
	}
	return s
}

// Evidence is one finding for a status, for a list of them.
func Evidence(e library.Evidence) string {
	return fmt.Sprintf("%s: %s (%s)", Capital(string(e.For)), Clean(e.What), Clean(e.Where))
}

// EvidenceLine is all that was found for a status, in one line of a terminal.
func EvidenceLine(t *library.Track) string {
	if len(t.Evidence) == 0 {
		return "nothing in tags or names tells"
	}
	parts := make([]string, len(t.Evidence))
	for i, e := range t.Evidence {
		parts[i] = fmt.Sprintf("%s (%s, speaks for %s)", OneLine(e.What), e.Where, e.For)
	}
	return strings.Join(parts, "; ")
}

// Marked says what a track is after a mark.
func Marked(t *library.Track) string {
	switch {
	case t.Marks.Ignore:
		return "ignored"
	case t.Marks.Reference:
		return fmt.Sprintf("a reference, %s, %s", t.Status, t.Verdict)
	}
	return fmt.Sprintf("%s, %s", t.Status, t.Verdict)
}
