package main

import (
	"fmt"
	"strings"

	"dubgauge/detect"
	"dubgauge/detect/setlist"
	"dubgauge/export/running"
	"dubgauge/export/words"
)

// stepsShown is up to how many tracks every step has a line; in longer lists those that stand
// out do, so that it can be read.
const stepsShown = 40

// missingShown is how many entries of such a list are named that were not found.
const missingShown = 20

// printOrder prints the steps, what stands out, the picture and the trims. shown is the order
// that is printed: r itself, or a better one.
func (a *app) printOrder(r, shown *running.Order, better *setlist.Suggestion, l setlist.Limits) {
	a.print("%s, %s", a.term.paint(bold, words.OneLine(orderName(r))), words.Counted(shown.Found(), "track"))
	if better != nil {
		a.printBetter(r, shown, better, l)
	}
	a.printSteps(shown)
	for _, line := range orderPicture(&shown.Set, a.pictureWidth()) {
		a.print("%s", strings.TrimRight(line, " "))
	}
	a.field("trims", words.Levelled(&shown.Set.Levelling))
	if n := unmeasuredEnds(&shown.Set); n > 0 {
		a.field("ends", fmt.Sprintf("The first and last minute of %s were not measured: the loudest 30 s stand in for them. Scan again to measure them.",
			words.Counted(n, "track")))
	}
	a.print("\n%s", caution)
}

func orderName(r *running.Order) string {
	if r.List.Title == "" && r.List.Name == "" {
		return "Of the library"
	}
	return r.Name()
}

// unmeasuredEnds counts the tracks whose record is older than the parts that are mixed.
func unmeasuredEnds(s *setlist.Set) (n int) {
	for i := range s.Tracks {
		if !s.Tracks[i].Ends && s.Tracks[i].Loudest.LUFS.Exists() {
			n++
		}
	}
	return n
}

// printBetter says what another order costs, and whether there is a better one.
func (a *app) printBetter(r, shown *running.Order, s *setlist.Suggestion, l setlist.Limits) {
	how := "found by search, the same each time"
	if s.Exact {
		how = "no order of these tracks costs less"
	}
	a.print("Cost %.1f -> %.1f: %s.", s.Before.Total, s.After.Total, how)
	for _, line := range words.Costs(s.Before, s.After, r.Set.Audible(l), shown.Set.Audible(l)) {
		a.print("  %s", line)
	}
}

// column is a column of the steps. Level is as the files are, trimmed and join with the trims,
// join from the end that is mixed out of to the start that is mixed in; a figure with ? is more
// likely wrong than right.
type stepColumn struct {
	head  string
	width int  // to the right where it is above 0, to the left below
	wide  bool // for wide terminals only
	of    func(r *running.Order, p *running.Place, s *setlist.Step) string
}

// wideSteps is the width that the terminal must have for all of them.
const wideSteps = 113

var stepColumns = []stepColumn{
	{"trim", 5, false, func(r *running.Order, p *running.Place, _ *setlist.Step) string { return tenths(r.Trim(p)) }},
	{"level", 6, false, ofStep(func(s *setlist.Step) string { return tenths(s.Level.LU) })},
	{"trimmed", 7, false, ofStep(func(s *setlist.Step) string { return tenths(s.Level.LevelledLU) })},
	{"join", 6, true, ofStep(joinStep)},
	{"sub", 6, false, ofStep(func(s *setlist.Step) string { return words.Plain.Low(&s.Sub) })},
	{"bass", 6, true, ofStep(func(s *setlist.Step) string { return words.Plain.Low(&s.Bass) })},
	{"tempo", 8, false, ofStep(func(s *setlist.Step) string { return tempoStep(s) })},
	{" key", -12, false, ofStep(func(s *setlist.Step) string { return " " + harmonyStep(s) })},
	{"BPM", 6, true, func(r *running.Order, p *running.Place, _ *setlist.Step) string {
		return words.Plain.Number(r.Set.Tracks[p.At].BPM, 1)
	}},
	{" in", -9, true, func(r *running.Order, p *running.Place, _ *setlist.Step) string {
		return " " + r.Set.Tracks[p.At].KeyName
	}},
}

func ofStep(of func(s *setlist.Step) string) func(*running.Order, *running.Place, *setlist.Step) string {
	return func(_ *running.Order, _ *running.Place, s *setlist.Step) string {
		if s == nil {
			return ""
		}
		return of(s)
	}
}

func tenths(v detect.Value) string { return words.Plain.Change(v, "") }

// doubtful marks what is more likely wrong than right, or was not measured.
func doubtful(confidence detect.Value) string {
	if confidence < 0.5 {
		return "?"
	}
	return ""
}

func joinStep(s *setlist.Step) string {
	if !s.JoinLevel.LevelledLU.Exists() {
		return "-"
	}
	return tenths(s.JoinLevel.LevelledLU) + doubtful(s.JoinLevel.Confidence)
}

func tempoStep(s *setlist.Step) string {
	if !s.Tempo.Percent.Exists() {
		return "-"
	}
	return words.Plain.Change(s.Tempo.Percent, "%") + doubtful(s.Tempo.Confidence)
}

func harmonyStep(s *setlist.Step) string {
	if s.Key.Relation == "" {
		return "-"
	}
	return words.Plain.Harmony(s.Key.Relation) + doubtful(s.Key.Confidence)
}

// columnsShown are those that the terminal has room for.
func (a *app) columnsShown() (shown []stepColumn) {
	for _, c := range stepColumns {
		if !c.wide || a.term.width == 0 || a.term.width >= wideSteps {
			shown = append(shown, c)
		}
	}
	return shown
}

// printSteps prints a line a track with the step that leads to it, and under it what stands out.
func (a *app) printSteps(r *running.Order) {
	a.print("%s", a.cut(a.stepHead()))
	quiet := r.Found() > stepsShown
	left, missing := 0, 0
	for i := range r.Places {
		p := &r.Places[i]
		step := r.Step(p)
		if p.At < 0 {
			if missing++; missing <= missingShown {
				a.print("%s", a.cut(fmt.Sprintf("?%3d  not found: %s", i+1, words.OneLine(words.Entry(&p.Entry)))))
			}
			continue
		}
		if quiet && (step == nil || len(step.Flags) == 0) {
			left++
			continue
		}
		a.printStep(r, p, step)
	}
	if more := missing - missingShown; more > 0 {
		a.print("%d more not found", more)
	}
	if left > 0 {
		a.print("%s without anything that stands out left out; -o FILE.csv has them all", words.Counted(left, "track"))
	}
}

func (a *app) printStep(r *running.Order, p *running.Place, step *setlist.Step) {
	mark := " "
	if step != nil && len(step.Flags) > 0 {
		mark = "!"
	}
	line := fmt.Sprintf("%s%3d", mark, r.Set.Tracks[p.At].Place)
	for _, c := range a.columnsShown() {
		line += fmt.Sprintf(" %*s", c.width, c.of(r, p, step))
	}
	line = a.cut(line + "  " + words.OneLine(words.Name(p.Track)))
	if mark == "!" {
		line = a.term.paint(yellow, line)
	}
	a.print("%s", line)
	if step != nil {
		for _, f := range step.Flags {
			a.print("       %s", wrap(f.Note, max(0, a.term.width-7), strings.Repeat(" ", 7)))
		}
	}
}

// stepHead is the line above the steps.
func (a *app) stepHead() string {
	line := "   #"
	for _, c := range a.columnsShown() {
		line += fmt.Sprintf(" %*s", c.width, c.head)
	}
	return line + "  track"
}

// cut keeps a line to the width of the terminal.
func (a *app) cut(line string) string {
	return snip(line, a.term.width)
}

// pictureWidth is how many columns the picture may have.
func (a *app) pictureWidth() int {
	if a.term.width > 0 {
		return a.term.width
	}
	return 100
}
