// Package running is a running order as it is shown and written: the places of a list,
// the tracks that they mean, and what is said of the steps between them. Everything that
// shows one (a sheet, a page) shows this.
package running

import (
	"context"
	"path/filepath"

	"dubgauge/detect"
	"dubgauge/detect/setlist"
	"dubgauge/library"
)

// Order is a list of tracks and what is said of it.
type Order struct {
	List   library.Playlist
	Places []Place
	// Set is what is said of the tracks that were found, in their order: a step leads from
	// one that was found to the next.
	Set setlist.Set
}

// Place is one place of the list.
type Place struct {
	library.Found
	// At is which track of the set this is; -1 where none was found.
	At int
}

// Options of New.
type Options struct {
	// Dir is the folder of the list, "" where it has none: it came by itself.
	Dir string
	// Fill reads the whole records of tracks; nil is for tracks that are whole.
	Fill func(tracks []*library.Track) error
	// Set holds the options of what is said.
	Set setlist.Options
}

// New finds the tracks of a list among tracks and checks the order. A track that stands
// in it several times is several tracks of the set.
func New(ctx context.Context, l library.Playlist, tracks []*library.Track, o Options) (*Order, error) {
	found, err := library.FindPlaylist(ctx, l, o.Dir, tracks)
	if err != nil {
		return nil, err
	}
	r := &Order{List: l, Places: make([]Place, len(found))}
	var those []*library.Track
	for i, f := range found {
		r.Places[i] = Place{f, -1}
		if f.Track != nil {
			r.Places[i].At = len(those)
			those = append(those, f.Track)
		}
	}
	return r, r.check(those, o)
}

// once are the tracks, each once.
func once(tracks []*library.Track) (all []*library.Track) {
	seen := map[*library.Track]bool{}
	for _, t := range tracks {
		if !seen[t] {
			seen[t] = true
			all = append(all, t)
		}
	}
	return all
}

// Found counts the places whose track was found.
func (r *Order) Found() int { return len(r.Set.Tracks) }

// Trim is the trim of a place that levels the set, in dB; None where there is none.
func (r *Order) Trim(p *Place) detect.Value {
	if p.At < 0 {
		return detect.None
	}
	return r.Set.Levelling.Trims[p.At]
}

// Step is the step that leads to a place from the one found before it; nil where there is
// none.
func (r *Order) Step(p *Place) *setlist.Step {
	if p.At < 1 {
		return nil
	}
	return &r.Set.Steps[p.At-1]
}

// Tracks are the tracks that were found, in playing order.
func (r *Order) Tracks() []*library.Track {
	var all []*library.Track
	for _, p := range r.Places {
		if p.Track != nil {
			all = append(all, p.Track)
		}
	}
	return all
}

// Name is what the list is called: its title, else the name of its file.
func (r *Order) Name() string {
	if r.List.Title != "" {
		return r.List.Title
	}
	return filepath.Base(r.List.Name)
}
