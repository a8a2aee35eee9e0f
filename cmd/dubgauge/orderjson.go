package main

import (
	"encoding/json"
	"io"

	"dubgauge/detect/setlist"
	"dubgauge/export/running"
	"dubgauge/export/words"
	"dubgauge/library"
)

// orderPlace is a place of a list in JSON.
type orderPlace struct {
	Track  *int        `json:"track"` // its place in the set, from 0; null where it was not found
	ID     int64       `json:"id,omitempty"`
	Root   string      `json:"root,omitempty"`
	Path   string      `json:"path"`
	Title  string      `json:"title"`
	Artist string      `json:"artist"`
	Found  library.How `json:"found"` // how, empty where it was not
	Near   []string    `json:"near,omitempty"`
}

// orderRecord is an order in JSON.
type orderRecord struct {
	List       string              `json:"list"`
	Places     []orderPlace        `json:"places"`
	Set        *setlist.Set        `json:"set"`
	Suggestion *setlist.Suggestion `json:"suggestion,omitempty"` // Places and Set are then of the suggested order
}

// writeOrderJSON writes an order, the better one where there is one.
func writeOrderJSON(w io.Writer, r, shown *running.Order, better *setlist.Suggestion) error {
	out := orderRecord{List: orderName(r), Places: make([]orderPlace, len(shown.Places)), Set: &shown.Set, Suggestion: better}
	for i := range shown.Places {
		p := &shown.Places[i]
		o := orderPlace{Path: p.Entry.Path, Title: p.Entry.Title, Artist: p.Entry.Artist, Found: p.How}
		if t := p.Track; t != nil {
			o.Track, o.ID, o.Root, o.Path, o.Title, o.Artist = &p.At, t.ID, t.Root, t.Path, words.Clean(t.Tags.Title), words.Clean(t.Tags.Artist)
		}
		for _, n := range p.Near {
			o.Near = append(o.Near, n.Track.Path)
		}
		out.Places[i] = o
	}
	e := json.NewEncoder(w)
	e.SetEscapeHTML(false)
	return e.Encode(&out)
}
