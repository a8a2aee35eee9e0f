// Package page lays a library out as one HTML page: the picture, the list, every
// track in full with its charts, and for print the trim sheet. It is a pure function
// of the tracks; Report writes it as a file of its own, List and Single as what a
// local server sends. Every text passes through html/template, which escapes it.
package page

import (
	"cmp"
	"fmt"
	"html/template"
	"slices"
	"sync"
	"time"

	"dubgauge/detect/standout"
	"dubgauge/export/whole"
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
	// Filter narrows a report and says its order.
	Filter Filter
	// Fill and Spectra read what tracks do without until they are shown: their whole
	// records, and the spectra of references. nil is for tracks that are whole.
	Fill    func(tracks []*library.Track) error
	Spectra func(ids []int64) ([]library.Spectrum, error)
	// Order is a running order that a report shows as well; nil for none.
	Order *Order
}

// manyTracks is the size of a library from which on a page is kept short: the
// figures are not drawn as strips and timelines have fewer points, so that 5,000
// tracks stay under 15 MB.
const manyTracks = 1500

// mostAdvised is how many masters a report of a larger library has advice for, the worst: each takes
// some milliseconds to work out. The live page of each track has it.
const mostAdvised = 50

// mostDetails is the size of a library from which on a report has the details of those
// tracks alone that are not ready: a phone has to open it.
var mostDetails = 10000 // fewer in a test

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
	Undo            Undo
	Window          *Window
	State           string // of what is served, see Delta
	Total           int    // tracks, whatever the filter
	Shown           string // what the list shows of them, in words
	Sorted          words.SortKey
	Folders         []string
	Further         further
	Near            near         // beside the single track
	Notes           []words.Note // what to do about the library as a whole
	Message         string       // instead of a track
	Ask             *asking
	One             *row // the single track of a page of its own
	Compared        *comparison
	Said            *sentences
	HasRows, Hidden bool
	Brief           string // what is left out of a large library's report
	sticks          words.Sticks
	FirstRows       int // rows on the first printed page,
	SheetRows       int // and on each later one
	Order           *Order
	Choose          *Choose // of running orders
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
	sorted := words.Order(tracks, f.sort()) // tracks are shared, and large
	if details {
		sorted = slices.DeleteFunc(sorted, func(t *library.Track) bool { return t.Marks.Ignore })
	}
	g := newGroups(sorted, opts)
	p := &page{
		Title: cmp.Or(opts.Title, "Trim sheet"), Date: words.Day(opts.Now), Live: !details, Filter: f, Frame: newFrame(),
		Summary: summary(sorted), Held: words.HeldAgainst(len(sorted), g.tracks), Ceiling: words.Ceiling(opts.Judge), HasRows: len(sorted) > 0, Total: len(sorted), Sorted: f.sort(),
		FirstRows: firstRows, SheetRows: sheetRows, sticks: sticksOf(sorted), Notes: words.Notes(sorted, g.tracks),
	}
	var plots sync.WaitGroup // beside the rows
	plots.Go(func() {
		p.Level = newDotPlot(plotOf[standout.Level], sorted, g.stats[standout.Level])
		p.LowEnd = newDotPlot(plotOf[standout.LowEnd], sorted, g.stats[standout.LowEnd])
	})
	defer plots.Wait()
	p.Folders = foldersOf(sorted, p.sticks)
	if details && len(sorted) > mostDetails {
		p.Brief = "With so many tracks, only those that are not ready have their details here."
	}
	if err := p.fill(sorted, g, opts, details); err != nil {
		return nil, err
	}
	numberSheets(p.Rows)
	p.Shown = f.Words(len(p.Rows), p.Total)
	p.Groups = drawn(g)
	return p, nil
}

// fill lays out a row for each track that the filter keeps, with details where they are
// asked for.
func (p *page) fill(sorted []*library.Track, g *groups, opts Options, details bool) error {
	points := allPoints
	if len(sorted) > manyTracks {
		points = fewPoints
	}
	var detailed []*library.Track
	var rows []int // theirs
	p.Rows = make([]row, 0, len(sorted))
	for _, t := range sorted {
		if !p.Filter.keeps(t, p.sticks) {
			continue
		}
		if details && (len(sorted) <= mostDetails || t.Verdict != standout.Ready) {
			detailed, rows = append(detailed, t), append(rows, len(p.Rows))
		}
		p.Rows = append(p.Rows, newRow(t, p))
	}
	next, advised := 0, 0
	return whole.Tracks(detailed, opts.Fill, func(t *library.Track) (err error) {
		r := &p.Rows[rows[next]]
		next++
		if r.Detail, err = newDetail(t, g, points); err != nil {
			return err
		}
		if ownMaster(t) && (len(sorted) <= manyTracks || advised < mostAdvised) {
			advised++
			if err := r.Detail.advise(t, g); err != nil {
				return err
			}
		}
		r.Detail.Path = r.Path
		r.Detail.Strips = points == allPoints
		return nil
	})
}

// sticksOf names the places of tracks.
func sticksOf(tracks []*library.Track) words.Sticks {
	roots := map[string]bool{}
	for _, t := range tracks {
		roots[t.Root] = true
	}
	return words.SticksIn(roots)
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
func summary(tracks []*library.Track) []count {
	n := map[string]int{}
	for _, t := range tracks {
		n[class(t)]++
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
