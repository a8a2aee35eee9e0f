// Package page lays a library out as one HTML page: the picture, the list, every
// track in full with its charts, and for print the trim sheet. It is a pure function
// of the tracks; Report writes it as a file of its own, List and Single as what a
// local server sends. Every text passes through html/template, which escapes it.
package page

import (
	"cmp"
	"fmt"
	"html/template"
	"time"

	"dubgauge/detect/standout"
	"dubgauge/export/words"
	"dubgauge/library"
)

// Options of a page. The zero value is the default.
type Options struct {
	// Title heads the page; empty is "Trim sheet".
	Title string
	// Judge must hold the options with which the tracks were judged.
	Judge standout.Options
	// Now dates the report; zero is the present.
	Now time.Time
	// Fill and Spectra read what tracks do without until they are shown: their whole
	// records, and the spectra of references. nil is for tracks that are whole.
	Fill    func(tracks []*library.Track) error
	Spectra func(ids []int64) ([]library.Spectrum, error)
}

// manyTracks is the size of a library from which on a page is kept short: the
// figures are not drawn as strips and timelines have fewer points, so that 5,000
// tracks stay under 15 MB.
const manyTracks = 1500

// mostDetails is the size of a library from which on a report has the details of those
// tracks alone that are not ready: a phone has to open it.
const mostDetails = 10000

// Points of a timeline: all that a measurement may hold, or what still shows the
// arrangement of a track.
const (
	allPoints = 240
	fewPoints = 48
)

// page is what the templates get.
type page struct {
	Title, Date     string
	Live            bool
	Summary         []count
	Held            string // what the library is held against
	Level, LowEnd   dotPlot
	Rows            []row
	Groups          []*group
	Ceiling         string
	Style, Script   template.HTML // inline in a report, links when served
	Policy          string
	Filter          Filter
	Frame           frame
	Sheet           bool
	Undo            string
	One             *row // the single track of a page of its own
	HasRows, Hidden bool
	Brief           string // what is left out of a large library's report
	sticks          words.Sticks
	FirstRows       int // rows on the first printed page,
	SheetRows       int // and on each later one
}

type count struct {
	Class, Text string
}

// newPage lays the library out. Without details, rows lead to pages of their
// own.
func newPage(tracks []library.Track, opts Options, f Filter, details bool) (*page, error) {
	if opts.Now.IsZero() {
		opts.Now = time.Now()
	}
	sorted := make([]library.Track, 0, len(tracks))
	for _, t := range tracks {
		if !t.Marks.Ignore || !details {
			sorted = append(sorted, t)
		}
	}
	words.Sort(sorted, f.sort())
	g := newGroups(sorted, opts)
	p := &page{
		Title: cmp.Or(opts.Title, "Trim sheet"), Date: words.Day(opts.Now), Live: !details, Filter: f, Frame: newFrame(),
		Level:   newDotPlot("level", "Level of every track", "LUFS", sorted, g.stats[standout.Level], levelOf),
		LowEnd:  newDotPlot("low", "Low end of every track", "dB", sorted, g.stats[standout.LowEnd], lowEndOf),
		Summary: summary(sorted), Held: words.HeldAgainst(len(sorted), g.tracks), Ceiling: words.Ceiling(opts.Judge), HasRows: len(sorted) > 0,
		FirstRows: firstRows, SheetRows: sheetRows, sticks: words.SticksOf(sorted),
	}
	if details && len(sorted) > mostDetails {
		p.Brief = "With so many tracks, only those that are not ready have their details here."
	}
	if err := p.fill(sorted, g, opts, details); err != nil {
		return nil, err
	}
	numberSheets(p.Rows)
	p.Groups = drawn(g)
	return p, nil
}

// fill lays out a row for each track that the filter keeps, with details where they are
// asked for.
func (p *page) fill(sorted []library.Track, g *groups, opts Options, details bool) error {
	points := allPoints
	if len(sorted) > manyTracks {
		points = fewPoints
	}
	detailed := func(t *library.Track) bool {
		return details && (len(sorted) <= mostDetails || t.Verdict != standout.Ready)
	}
	next := wholeTracks(sorted, func(t *library.Track) bool { return p.Filter.keeps(t) && detailed(t) }, opts.Fill)
	for i := range sorted {
		t := &sorted[i]
		if !p.Filter.keeps(t) {
			continue
		}
		r := newRow(t, p)
		if detailed(t) {
			whole, err := next()
			if err == nil {
				r.Detail, err = newDetail(whole, g, points)
			}
			if err == nil && ownMaster(whole) {
				err = r.Detail.advise(whole, g)
			}
			if err != nil {
				return err
			}
			r.Detail.Path = r.Path
			r.Detail.Strips = points == allPoints
		}
		p.Rows = append(p.Rows, r)
	}
	return nil
}

// wholeBatch is how many tracks are read at a time: a record has some 10 KB.
const wholeBatch = 200

// wholeTracks gives one after another those of tracks that are wanted, filled. They are
// read in batches, and none is kept.
func wholeTracks(tracks []library.Track, wanted func(*library.Track) bool, fill func([]*library.Track) error) func() (*library.Track, error) {
	at := 0
	var batch []*library.Track
	return func() (*library.Track, error) {
		if len(batch) == 0 {
			for ; at < len(tracks) && len(batch) < wholeBatch; at++ {
				if t := tracks[at]; wanted(&t) {
					batch = append(batch, &t)
				}
			}
			if fill != nil {
				if err := fill(batch); err != nil {
					return nil, err
				}
			}
		}
		t := batch[0]
		batch = batch[1:]
		return t, nil
	}
}

// drawn lists the groups in the order of their numbers.
func drawn(g *groups) []*group {
	out := make([]*group, len(g.known))
	for _, x := range g.known {
		out[x.Number-1] = x
	}
	return out
}

// summary counts the verdicts, the worst first.
func summary(tracks []library.Track) []count {
	n := map[string]int{}
	for i := range tracks {
		n[class(&tracks[i])]++
	}
	var out []count
	for _, v := range []standout.Verdict{standout.Unreadable, standout.HoldBack, standout.Check, standout.Ready} {
		if c := classOf(v); n[c] > 0 {
			out = append(out, count{c, words.Tally(n[c], v)})
		}
	}
	if n[ignored] > 0 {
		out = append(out, count{ignored, fmt.Sprintf("%d ignored", n[ignored])})
	}
	return out
}
