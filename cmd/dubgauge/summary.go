package main

import (
	"context"
	"fmt"
	"slices"

	"dubgauge/detect/reason"
	"dubgauge/detect/standout"
	"dubgauge/export/words"
	"dubgauge/library"
)

// summary is what a scan comes to. Its JSON form is for programs.
type summary struct {
	Report   library.Report           `json:"scan"`
	Tracks   int                      `json:"tracks"`
	Verdicts map[standout.Verdict]int `json:"verdicts"`
	Statuses map[library.Status]int   `json:"statuses"`
	Worst    []worst                  `json:"worst"`

	roots    map[string]bool // of the tracks
	fixed    int             // tracks that were held against fixed values
	patterns map[string]bool // that a track matches
	takenIn  bool            // nothing was measured: records were taken in
}

// worst is a track that is not ready.
type worst struct {
	ID      int64            `json:"id"`
	Root    string           `json:"root"`
	Path    string           `json:"path"`
	Verdict standout.Verdict `json:"verdict"`
	Reasons []string         `json:"reasons"`
	Notes   []string         `json:"notes"`
}

// worstShown is how many tracks the summary names.
const worstShown = 5

func newSummary(ctx context.Context, db *library.DB, r library.Report) (*summary, error) {
	s := &summary{Report: r, roots: map[string]bool{}, patterns: map[string]bool{}, Verdicts: map[standout.Verdict]int{}, Statuses: map[library.Status]int{}, Worst: []worst{}}
	for _, v := range []standout.Verdict{standout.Ready, standout.Check, standout.HoldBack, standout.Unreadable} {
		s.Verdicts[v] = 0
	}
	var last []library.Track // the worst so far
	err := db.Each(ctx, library.TrackOptions{}, func(t *library.Track) error {
		if !slices.Contains(r.Roots, t.Root) {
			return nil
		}
		s.count(t)
		if t.Verdict != standout.Ready {
			last = append(last, *t)
			words.Sort(last, words.ByVerdict)
			last = last[:min(len(last), worstShown)]
		}
		return nil
	})
	for _, t := range last {
		s.Worst = append(s.Worst, worst{t.ID, t.Root, t.Path, t.Verdict, t.Reasons, t.Notes})
	}
	return s, err
}

// count takes a track into the figures.
func (s *summary) count(t *library.Track) {
	s.Tracks++
	s.Verdicts[t.Verdict]++
	s.Statuses[t.Status]++
	s.roots[t.Root] = true
	for _, e := range t.Evidence {
		s.patterns[e.Pattern()] = true
	}
	if t.Reference.Basis == reason.BasisFixed {
		s.fixed++
	}
}

// heldBack counts the tracks that must not be played as they are.
func (s *summary) heldBack() int {
	return s.Verdicts[standout.HoldBack] + s.Verdicts[standout.Unreadable]
}

// printSummary writes the summary as a colleague's note: what there is, what was
// done, the worst with what to do, what to type next.
func (a *app) printSummary(s *summary) {
	a.print("%s", s.counts(a))
	if s.Tracks == 0 {
		a.print("No tracks there: is it the right folder?")
		return
	}
	a.print("%s", wrap(s.references(), a.term.width, ""))
	a.print("%s", s.work())
	sticks := words.SticksIn(s.roots)
	for i, w := range s.Worst {
		if i == 0 {
			a.print("\nWorst first:")
		}
		a.print("\n  %s  %s", a.term.paint(verdictPaint[w.Verdict], string(w.Verdict)), a.term.paint(bold, words.OneLine(sticks.Place(&library.Track{Root: w.Root, Record: library.Record{Path: w.Path}}))))
		for _, n := range w.Notes {
			a.print("    %s", wrap(words.OneLine(n), a.term.width-4, "    "))
		}
	}
	if n := s.Tracks - s.Verdicts[standout.Ready] - len(s.Worst); n > 0 {
		a.print("\n  and %d more, in the list", n)
	}
	a.print("\n%s", s.next(a))
	a.print("\n%s", caution)
}

// counts is the first line: how many tracks, how many of each verdict.
func (s *summary) counts(a *app) string {
	var parts []string
	for _, v := range []standout.Verdict{standout.Ready, standout.Check, standout.HoldBack, standout.Unreadable} {
		if n := s.Verdicts[v]; n > 0 || v == standout.Ready {
			parts = append(parts, a.term.paint(verdictPaint[v], words.Tally(n, v)))
		}
	}
	return words.Counted(s.Tracks, "track") + ": " + words.AndList(parts) + "."
}

// references says what the tracks were held against.
func (s *summary) references() string {
	line := fmt.Sprintf("%d released, %d unreleased, %d unknown (judged, but never a reference).",
		s.Statuses[library.Released], s.Statuses[library.Unreleased], s.Statuses[library.Unknown])
	if n := s.fixed; n > 0 {
		line += fmt.Sprintf(" With fewer than %d references, fixed values served for %s (common practice, no source): "+
			"name references with \"dubgauge mark TRACK --reference\".", standout.MinGroup, words.Counted(n, "track"))
	}
	return line
}

// work says what this scan had to do.
func (s *summary) work() string {
	r := s.Report
	if s.takenIn {
		return words.Counted(r.Measured, "record") + " taken in."
	}
	line := fmt.Sprintf("%d measured, %d unchanged", r.Measured, r.Unchanged)
	for _, part := range []struct {
		n    int
		what string
	}{{r.Moved, "moved"}, {r.Copied, "copied"}, {r.Missing, "no longer there"}} {
		if part.n > 0 {
			line += fmt.Sprintf(", %d %s", part.n, part.what)
		}
	}
	if sec := r.Elapsed.Seconds(); r.Measured > 0 && sec > 0 {
		return line + fmt.Sprintf(", in %s (%.0f times realtime).", words.Duration(r.Elapsed), r.AudioSeconds/sec)
	}
	return line + "."
}

// next names the commands that come next.
func (s *summary) next(a *app) string {
	call := a.call()
	if len(s.Worst) == 0 {
		return fmt.Sprintf("Next: %s export trims -o trims.csv", call)
	}
	return fmt.Sprintf("Next: %s show %s\n      %s list\n      %s report -o sheet.html\n      %s export trims -o trims.csv",
		call, quoted(words.OneLine(s.Worst[0].Path)), call, call, call)
}
