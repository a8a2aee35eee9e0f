package page

import (
	"io"
	"path"
	"strings"

	"dubgauge/library"
)

// Served is what a page shows beside the tracks when a server sends it.
type Served struct {
	// Undo is the last mark; the zero value is for nothing to take back.
	Undo Undo
	// Listen offers references to listen to beside the single track; nil for
	// none. It may give nil.
	Listen func(t *library.Track, references []*library.Track) *Listen
	// Hold lists what the single track can be compared with; nil for a track that cannot be read.
	Hold func(t *library.Track, references []*library.Track) (choices []Choice, readable bool)
}

// Undo is a step that can be taken back.
type Undo struct {
	Step int64  // its number, for the form
	What string // what it did
}

// The files that a page of a server refers to.
const (
	styleLink = `<link rel="stylesheet" href="/assets/page.css"><link rel="stylesheet" href="/assets/beside.css"><link rel="icon" href="/assets/icon.svg">`
	scripts   = `<script type="module" src="/assets/list.js"></script><script type="module" src="/assets/live.js"></script><script type="module" src="/assets/listen.js"></script><script type="module" src="/assets/beside.js"></script>`
)

// List writes the page of a library whose rows lead to pages of their own.
func List(w io.Writer, tracks []library.Track, opts Options, f Filter, s Served) error {
	p, err := newPage(tracks, opts, f, false)
	if err != nil {
		return err
	}
	return s.write(w, "page", p)
}

// Single writes the page of one track t of tracks.
func Single(w io.Writer, tracks []library.Track, t *library.Track, opts Options, s Served) error {
	g := newGroups(these(tracks), opts)
	p, err := newPage(nil, opts, Filter{}, false)
	if err != nil {
		return err
	}
	one := newRow(t, p)
	if one.Detail, err = newDetail(t, g, allPoints); err != nil {
		return err
	}
	if err := one.Detail.advise(t, g); err != nil {
		return err
	}
	one.Detail.Strips = true
	if one.Detail.Live = true; s.Listen != nil {
		one.Detail.Listen = s.Listen(t, g.tracks)
	}
	if s.Hold != nil {
		one.Detail.Hold, one.Detail.Looks = s.Hold(t, g.tracks)
	}
	p.One, p.Groups = &one, drawn(g)
	return s.write(w, "alone", p)
}

// these are tracks where they lie.
func these(tracks []library.Track) []*library.Track {
	all := make([]*library.Track, len(tracks))
	for i := range tracks {
		all[i] = &tracks[i]
	}
	return all
}

// Message writes a page that says one thing and leads back to the list.
func Message(w io.Writer, text string) error {
	p, err := newPage(nil, Options{}, Filter{}, false)
	if err != nil {
		return err
	}
	p.Live, p.Style, p.Message = true, styleLink, text
	return templates.ExecuteTemplate(w, "alone", p)
}

func (s Served) write(w io.Writer, name string, p *page) error {
	p.Live, p.Style, p.Script, p.Undo = true, styleLink, scripts, s.Undo
	return templates.ExecuteTemplate(w, name, p)
}

var assetTypes = map[string]string{".css": "text/css; charset=utf-8", ".js": "text/javascript; charset=utf-8", ".svg": "image/svg+xml"}

// Asset gives a file that a page of a server refers to and its type; ok is false
// for any other name.
func Asset(name string) (text []byte, kind string, ok bool) {
	kind, ok = assetTypes[path.Ext(name)]
	if !ok || strings.ContainsAny(name, `/\`) {
		return nil, "", false
	}
	text, err := web.ReadFile("web/" + name)
	return text, kind, err == nil
}
