package words

import (
	"fmt"

	"dubgauge/detect/reason"
	"dubgauge/detect/standout"
	"dubgauge/library"
)

// tallied are the verdicts after a number of tracks.
var tallied = map[standout.Verdict]string{
	standout.Ready: "ready", standout.Check: "to check",
	standout.HoldBack: "to hold back", standout.Unreadable: "unreadable",
}

// Tally counts the tracks of a verdict.
func Tally(n int, v standout.Verdict) string { return fmt.Sprintf("%d %s", n, tallied[v]) }

// Verdict heads a track.
func Verdict(t *library.Track) string {
	if t.Marks.Ignore {
		return "Ignored"
	}
	return Capital(string(t.Verdict))
}

// Sentence is the verdict in one sentence.
func Sentence(t *library.Track) string {
	switch {
	case t.Marks.Ignore:
		return "Left out of verdicts, groups and exports, as you asked."
	case len(t.Notes) > 0:
		return Typeset(t.Notes[0])
	case !t.MismatchDB.Exists():
		return "Nothing to hold against its references."
	}
	if t.Reference.Basis == reason.BasisFixed {
		return "Nothing stands out: " + Page.Change(t.MismatchDB, "LU") + " in level from the fixed value of " + Page.Figure(t.Reference.LUFS, "LUFS") +
			" (common practice, no source), as there are too few references."
	}
	s := "Sits with its references: " + Page.Change(t.MismatchDB, "LU") + " in level"
	if d := Deviation(t, standout.LowEnd).DB; d.Exists() {
		s += ", " + Page.Change(d, "dB") + " in the low end"
	}
	return s + "."
}
