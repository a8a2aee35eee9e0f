package words

import (
	"fmt"
	"slices"
	"strings"

	"dubgauge/library"
)

// Decided says how a track's status came about.
func Decided(t *library.Track) string {
	s := ""
	switch {
	case t.Marks.Status != "":
		s = "You marked it as " + string(t.Marks.Status) + "."
	case t.Status == library.Unknown && !decides(t.Evidence):
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

// decides tells whether something was found beside tags that merely differ.
func decides(found []library.Evidence) bool {
	return slices.ContainsFunc(found, func(e library.Evidence) bool { return e.For != library.Unknown })
}

// Evidence is one finding for a status, for a list of them.
func Evidence(e library.Evidence) string {
	if e.For == library.Unknown {
		return fmt.Sprintf("Conflict: %s (%s)", Clean(e.What), Clean(e.Where))
	}
	return fmt.Sprintf("%s: %s (%s)", Capital(string(e.For)), Clean(e.What), Clean(e.Where))
}

// EvidenceLine is all that was found for a status, in one line of a terminal.
func EvidenceLine(t *library.Track) string {
	if len(t.Evidence) == 0 {
		return "nothing in tags or names tells"
	}
	parts := make([]string, len(t.Evidence))
	for i, e := range t.Evidence {
		if e.For == library.Unknown {
			parts[i] = fmt.Sprintf("%s (%s)", OneLine(e.What), e.Where)
			continue
		}
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
		return "a reference, " + string(t.Status)
	}
	return string(t.Status)
}
