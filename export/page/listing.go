package page

import (
	"cmp"
	"fmt"
	"html/template"
	"io"
	"strings"

	"dubgauge/export/words"
	"dubgauge/library"
)

// firstServed is how many rows a page comes with: the script asks for the rest, and without it
// they are on the pages that follow.
const firstServed = 400

// List writes the page of the tracks that a filter keeps, from the row number from on.
func (s *Shelf) List(w io.Writer, f Filter, from int) error { return s.ListBeside(w, f, from, nil) }

// ListBeside is List with what goes on beside the tracks; nil for nothing.
func (s *Shelf) ListBeside(w io.Writer, f Filter, from int, window *Window) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	p := *s.page
	p.Filter, p.Sorted = f, f.sort()
	kept := make([]*library.Track, 0, len(s.tracks))
	for _, t := range words.Order(s.tracks, p.Sorted) {
		if f.keeps(t, p.sticks) {
			kept = append(kept, t)
		}
	}
	p.Shown = f.Words(len(kept), p.Total)
	from = max(0, min(from, len(kept)))
	shown := kept[from:min(len(kept), from+firstServed)]
	for _, t := range shown {
		html, err := s.rows[t.ID].written()
		if err != nil {
			return err
		}
		p.Rows = append(p.Rows, row{HTML: withQuery(html, t.ID, f)})
	}
	p.Further = furtherOf(f, from, len(shown), len(kept))
	numberSheets(p.Rows)
	switch {
	case len(shown) == len(s.order):
		p.State = s.format(since{state: s.state, whole: s.state})
	case from == 0 && !f.Narrows() && p.Sorted == words.ByVerdict:
		p.State = s.format(since{state: s.state, rows: len(shown)})
	default:
		p.State = s.format(since{})
	}
	return Served{Undo: p.Undo, Window: window}.write(w, "page", &p)
}

// withQuery has the link of a written row carry the filter, so that the track's page leads back to
// the same list. The page's script takes it off again.
func withQuery(html template.HTML, id int64, f Filter) template.HTML {
	query := f.Query()
	if query == "" {
		return html
	}
	address := fmt.Sprintf(`href="/track/%d`, id)
	return template.HTML(strings.Replace(string(html), address+`"`, address+template.HTMLEscapeString(query)+`"`, 1))
}

// further are the pages before and behind a page of a long list.
type further struct{ Before, Behind, Where string }

func furtherOf(f Filter, from, shown, of int) (p further) {
	at := func(row int) string {
		q := cmp.Or(f.Query(), "?")
		if q != "?" {
			q += "&"
		}
		return fmt.Sprintf("/%sfrom=%d#tracks", q, row)
	}
	if from > 0 {
		p.Before = at(max(0, from-firstServed))
	}
	if from+shown < of {
		p.Behind = at(from + shown)
	}
	if p != (further{}) {
		p.Where = fmt.Sprintf("%d to %d of %d", from+1, from+shown, of)
	}
	return p
}
