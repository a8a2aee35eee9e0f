package page

import (
	"bytes"
	"html/template"
	"slices"
	"sync"

	"dubgauge/library"
)

// Shelf keeps a library laid out for a server, so that of the next one only what changed has
// to be written and sent. It is safe for use by many goroutines.
type Shelf struct {
	run string // tells the states of this shelf from those of others

	mu      sync.Mutex
	version int64 // of the tracks as their reader counts them
	tracks  []library.Track
	undo    Undo
	state   int64 // counts what was laid out; what changed last at which state stands beside it
	page    *page
	rows    map[int64]*laid
	order   []int64 // worst first
	moved   int64   // when the order changed
	gone    []leaving
	parts   map[string]*part
}

// laid is a row and when it changed; html is written when it is asked for.
type laid struct {
	row  row
	at   int64
	html template.HTML
}

// leaving is a track that left, and when.
type leaving struct{ id, at int64 }

// part is a piece of the page outside the list, and when it changed.
type part struct {
	html string
	at   int64
}

// partNames are the pieces of the page that are sent when they change: the id of the element
// in the page, and the template of what is in it.
var partNames = []string{"tally", "held", "undo", "glance", "notes", "folders"}

// NewShelf makes an empty shelf; run is unlike that of any other.
func NewShelf(run string) *Shelf {
	return &Shelf{run: run, rows: map[int64]*laid{}, parts: map[string]*part{}, version: -1}
}

// Lay takes the tracks of a library, which are not changed afterwards, ignored ones too, and
// the step that can be taken back. version counts the libraries: one that was laid already
// costs nothing, an older one is passed over.
func (s *Shelf) Lay(version int64, tracks []library.Track, opts Options, undo Undo) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	if version < s.version || version == s.version && undo == s.undo {
		return nil
	}
	p := s.page
	if version > s.version {
		var err error
		if p, err = newPage(tracks, opts, Filter{}, false); err != nil {
			return err
		}
	}
	p.Undo = undo
	parts, err := p.writeParts()
	if err != nil {
		return err
	}
	s.state++
	s.takeParts(parts)
	if version > s.version {
		s.takeRows(p)
	}
	s.page, s.version, s.tracks, s.undo = p, version, tracks, undo
	return nil
}

// writeParts writes the pieces of a page.
func (p *page) writeParts() (map[string]string, error) {
	parts := make(map[string]string, len(partNames))
	for _, name := range partNames {
		var b bytes.Buffer
		if err := templates.ExecuteTemplate(&b, name, p); err != nil {
			return nil, err
		}
		parts[name] = b.String()
	}
	return parts, nil
}

func (s *Shelf) takeParts(parts map[string]string) {
	for name, html := range parts {
		if old := s.parts[name]; old == nil || old.html != html {
			s.parts[name] = &part{html, s.state}
		}
	}
}

// takeRows notes which rows are new, others, or gone, and whether their order is.
func (s *Shelf) takeRows(p *page) {
	order := make([]int64, len(p.Rows))
	there := make(map[int64]*laid, len(p.Rows))
	for i := range p.Rows {
		r := p.Rows[i]
		r.Sheet = "" // where pages are broken changes with the filter
		order[i] = r.ID
		if old := s.rows[r.ID]; old != nil && old.row.shows(r) {
			there[r.ID] = old
		} else {
			there[r.ID] = &laid{row: r, at: s.state}
		}
	}
	s.gone = slices.DeleteFunc(s.gone, func(l leaving) bool { return there[l.id] != nil })
	for _, id := range s.order {
		if there[id] == nil {
			s.gone = append(s.gone, leaving{id, s.state})
		}
	}
	if !slices.Equal(order, s.order) {
		s.order, s.moved = order, s.state
	}
	s.rows = there
	p.Rows = nil // they are here
}

// written is the HTML of a row.
func (l *laid) written() (template.HTML, error) {
	if l.html != "" {
		return l.html, nil
	}
	var b bytes.Buffer
	if err := templates.ExecuteTemplate(&b, "row", &l.row); err != nil {
		return "", err
	}
	l.html = template.HTML(b.String())
	return l.html, nil
}
