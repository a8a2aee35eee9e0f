package main

import (
	"fmt"
	"io"
	"slices"

	"dubgauge/cmd/dubgauge/studio"
)

// percent writes a share, "-" when nothing was judged.
func percent(part, whole int) string {
	if whole == 0 {
		return "-"
	}
	return fmt.Sprintf("%.0f", 100*float64(part)/float64(whole))
}

// print writes the tables: clean tracks, defects, look-alikes.
func (c *counter) print(w io.Writer) {
	fmt.Fprintf(w, "%d clean songs, %d of them spoilt, %d look-alikes; %d groups a track\n\n",
		len(c.bench.songs), len(c.bench.spoilt), len(c.bench.looks), c.times)
	fmt.Fprintf(w, "Clean tracks, %% flagged / held back / flagged by a fault / unlike, by number of references\n%-34s", "")
	c.head(w)
	for _, kind := range []string{sameKind, otherKind, mixedKind} {
		c.row(w, kind, kind, cleanRow, func(t *tally) string {
			return fmt.Sprintf("%.1f/%.1f/%.1f/%.0f", share(t.flagged, t), share(t.held, t), share(t.fault, t), share(t.unlike, t))
		})
	}
	for _, kind := range []string{sameKind, mixedKind} {
		fmt.Fprintf(w, "\nDefects, references of %s, %% flagged / reported at all / rightly named\n%-34s", kind, "")
		c.head(w)
		shares := func(t *tally) string {
			return percent(t.flagged, t.judged) + "/" + percent(t.reported, t.judged) + "/" + percent(t.named, t.judged)
		}
		for _, d := range studio.Defects() {
			c.row(w, d.Name, kind, d.Name, shares)
			if inSub(d.Name) {
				c.row(w, "  where there is a sub", kind, d.Name+subThere, shares)
			}
		}
	}
	fmt.Fprintf(w, "\nLook-alikes, references of %s, %% flagged / flagged by a fault\n%-34s", sameKind, "")
	c.head(w)
	for _, l := range studio.Lookalikes() {
		c.row(w, l.Name, sameKind, lookRow+l.Name, func(t *tally) string {
			return percent(t.flagged, t.judged) + "/" + percent(t.fault, t.judged)
		})
	}
}

func share(part int, t *tally) float64 { return 100 * float64(part) / float64(max(1, t.judged)) }

func (c *counter) head(w io.Writer) {
	for _, n := range sizes {
		fmt.Fprintf(w, "%16s", fmt.Sprintf("n = %d", n))
	}
	fmt.Fprintln(w)
}

func (c *counter) row(w io.Writer, title, kind, row string, text func(*tally) string) {
	if !c.has(kind, row) {
		return
	}
	fmt.Fprintf(w, "%-34s", title)
	for _, n := range sizes {
		if t := c.cells[cell{row, kind, n}]; t != nil {
			fmt.Fprintf(w, "%16s", text(t))
		} else {
			fmt.Fprintf(w, "%16s", "-")
		}
	}
	fmt.Fprintln(w)
}

func (c *counter) has(kind, row string) bool {
	return slices.ContainsFunc(sizes, func(n int) bool { return c.cells[cell{row, kind, n}] != nil })
}

// printAlarms lists the clean tracks that were flagged, and why.
func (c *counter) printAlarms(w io.Writer) {
	for _, a := range c.alarms {
		fmt.Fprintf(w, "%s | %s, n = %d | %s | %q\n", a.spec, a.kind, a.n, a.verdict, a.reasons)
	}
}
