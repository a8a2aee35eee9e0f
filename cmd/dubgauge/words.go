package main

import (
	"fmt"
	"math"
	"strings"
	"time"

	"dubgauge/detect"
	"dubgauge/detect/standout"
)

// All that is said to the user stands in this file, so that it can be read in
// one go. Messages say what happened, then what to do; no exclamation marks, no
// blame, no word that a DJ would have to look up. Data goes to standard output,
// talk to standard error.

const (
	rootLong = `dubgauge reads a DJ's track library before a gig and says which tracks are ready
to be played next to released records, which would stand out in level or in low
end, by how much, and what to do about it. The music is only ever read.`

	rootExample = `  dubgauge demo                       make a small library, scan it, look at it
  dubgauge scan /media/STICK          measure what is new, say what stands out
  dubgauge list                       every track, worst mismatch first
  dubgauge show "bootleg v7"          one track: all figures, and why
  dubgauge export trims -o trims.csv  the trim sheet`

	stoppedWords = `Stopped. What was measured is kept: the same command goes on from there.`

	caution = `Start low: trims are advice. Loud playback hurts hearing and loudspeakers; the
venue's engineer and local rules decide the level.`

	noDatabase = `nothing has been scanned yet (no database at %s): start with "dubgauge scan DIR"`
)

// verdictWords are what the summary calls each verdict.
var verdictWords = map[standout.Verdict]string{
	standout.Ready: "ready", standout.Check: "to check",
	standout.HoldBack: "to hold back", standout.Unreadable: "unreadable",
}

// verdictPaint is the attribute that a verdict is shown in.
var verdictPaint = map[standout.Verdict]string{
	standout.Check: yellow, standout.HoldBack: red, standout.Unreadable: red,
}

// counted puts a number before its noun.
func counted(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return fmt.Sprintf("%d %ss", n, noun)
}

// andList joins words as in speech.
func andList(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:len(words)-1], ", ") + " and " + words[len(words)-1]
}

// figure writes a value with one decimal and its unit, a dash when there is none.
func figure(v detect.Value, unit string) string {
	if !v.Exists() {
		return "-"
	}
	return strings.TrimSpace(fmt.Sprintf("%.1f %s", float64(v), unit))
}

// signed is figure with a sign.
func signed(v detect.Value, unit string) string {
	if !v.Exists() {
		return "-"
	}
	r := math.Round(float64(v)*10)/10 + 0
	return strings.TrimSpace(fmt.Sprintf("%+.1f %s", r, unit))
}

// clock writes seconds as minutes and seconds.
func clock(s detect.Value) string {
	if !s.Exists() {
		return "-"
	}
	n := int(math.Round(float64(s)))
	return fmt.Sprintf("%d:%02d", n/60, n%60)
}

// left says how much longer a job takes.
func left(d time.Duration) string {
	if d < 0 {
		return "working out the time left"
	}
	return duration(d) + " left"
}

// duration in the words of a clock.
func duration(d time.Duration) string {
	d = d.Round(time.Second)
	if d >= time.Hour {
		return fmt.Sprintf("%d h %02d min", int(d.Hours()), int(d.Minutes())%60)
	}
	return fmt.Sprintf("%d:%02d min", int(d.Minutes()), int(d.Seconds())%60)
}

// basisWords says what a track was held against.
func basisWords(g standout.Group) string {
	switch g.Basis {
	case "named":
		return fmt.Sprintf("%s that you named, median %s", counted(g.Tracks, "reference"), figure(g.LUFS, "LUFS"))
	case "tempo":
		return fmt.Sprintf("%s within 6 %% of %s, median %s", counted(g.Tracks, "released track"), figure(g.BPM, "BPM"), figure(g.LUFS, "LUFS"))
	case "released":
		few := ""
		if g.Tracks < standout.MinTempoGroup {
			few = " (few references)"
		}
		return fmt.Sprintf("all %s%s, median %s", counted(g.Tracks, "released track"), few, figure(g.LUFS, "LUFS"))
	}
	return fmt.Sprintf("fixed values (%s: common practice, no source), as there are only %s; mark some with \"dubgauge mark TRACK --reference\"",
		figure(g.LUFS, "LUFS"), counted(g.Tracks, "reference"))
}
