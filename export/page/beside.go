package page

import (
	"io"

	"dubgauge/detect/reason"
	"dubgauge/detect/standout"
	"dubgauge/export/words"
	"dubgauge/library"
)

// Choice is a track that another can be held against.
type Choice struct {
	ID    int64
	Label string
}

// comparison is two tracks side by side.
type comparison struct {
	A, B    Choice
	Against string
	Pairs   []words.Pair
	Grouped bool // there is a column for the references
}

// Compare writes the page of two tracks side by side: their figures, beside the references
// of a. What was done between them takes longer, and is asked of Between.
func Compare(w io.Writer, a, b *library.Track, s Served) error {
	p, err := newPage(nil, Options{}, Filter{}, false)
	if err != nil {
		return err
	}
	c := &comparison{A: Choice{a.ID, words.Name(a)}, B: Choice{b.ID, words.Name(b)}}
	var group *standout.Group
	if a.TakesPart() {
		c.Against = words.Page.Group(&a.Reference)
		if a.Reference.Basis != reason.BasisFixed { // fixed values are no records to be near to
			group, c.Grouped = &a.Reference, true
		}
	}
	c.Pairs = words.Page.Pairs(&a.Measurement, &b.Measurement, group)
	p.Compared = c
	return s.write(w, "alone", p)
}

// Sentences writes what was found out on demand: a part of a page, or with title a page of its
// own. back is where it leads.
func Sentences(w io.Writer, title, back string, said []string, part bool) error {
	p, err := newPage(nil, Options{}, Filter{}, false)
	if err != nil {
		return err
	}
	p.Said = &sentences{Title: title, Back: back}
	for _, s := range said {
		p.Said.Lines = append(p.Said.Lines, words.Typeset(s))
	}
	if part {
		return templates.ExecuteTemplate(w, "sentences", p.Said.Lines)
	}
	return Served{}.write(w, "alone", p)
}

// sentences are found out on demand.
type sentences struct {
	Title, Back string
	Lines       []string
}
