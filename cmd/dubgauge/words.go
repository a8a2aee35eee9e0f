package main

import (
	"dubgauge/detect/standout"
	"dubgauge/export/words"
)

// The command line's own talk. How figures, times, groups, errors and tracks are
// written stands in export/words, and what is said of a track comes with its
// judgement, from detect. Messages say what happened, then what to do; no exclamation marks, no
// blame, no word that a DJ would have to look up. Data goes to standard output,
// talk to standard error.

const (
	rootLong = `dubgauge reads a DJ's track library before a gig and says which tracks are ready
to be played next to released records, which would stand out in level or in low
end, by how much, and what to do about it. The music is only ever read.`

	rootExample = `  dubgauge demo                       make a small library, scan it, look at it
  dubgauge serve /media/STICK --open  scan it in the browser, listen, mark, print
  dubgauge scan /media/STICK          measure what is new, say what stands out
  dubgauge list                       every track, worst first
  dubgauge show "bootleg v7"          one track: all figures, and why
  dubgauge export trims -o trims.csv  the trim sheet`

	stoppedWords = `Stopped. What was measured is kept: the same command goes on from there.`

	caution = `Start low: trims are advice. Loud playback hurts hearing and loudspeakers; the
venue's engineer and local rules decide the level.`

	notPluggedIn = `%s on %s, which is not plugged in, %s left out: %s list --all shows them`

	nothingToFollow = `nothing of %s was measured by which a track could be chosen to follow it: see "%s show '#%d'"`

	noDatabase = `nothing has been scanned yet (no database at %s): start with "dubgauge scan DIR"`
)

// verdictPaint is the attribute that a verdict is shown in.
var verdictPaint = map[standout.Verdict]string{
	standout.Check: yellow, standout.HoldBack: red, standout.Unreadable: red,
}

// heldAgainst says what a track was held against, and how to change that.
func heldAgainst(g *standout.Group) string {
	s := words.Plain.Group(g)
	if g.Basis == "fixed" {
		return s + ": " + words.Plain.Figure(g.LUFS, "LUFS") + "; mark some with \"dubgauge mark TRACK --reference\""
	}
	if g.Basis == "released" && g.Tracks < standout.Few {
		s += " (few references)"
	}
	return s + ", median " + words.Plain.Figure(g.LUFS, "LUFS")
}
