package running

import (
	"dubgauge/detect/setlist"
	"dubgauge/library"
)

// Of is the running order of tracks that come from no list: of the library, as they are given.
func Of(title string, tracks []*library.Track, o Options) (*Order, error) {
	r := &Order{List: library.Playlist{Title: title}, Places: make([]Place, len(tracks))}
	for i, t := range tracks {
		r.Places[i] = Place{library.Found{Track: t, How: library.ByPath}, i}
	}
	return r, r.check(tracks, o)
}

// check reads the records of the tracks and checks their steps.
func (r *Order) check(tracks []*library.Track, o Options) error {
	if o.Fill != nil {
		if err := o.Fill(once(tracks)); err != nil {
			return err
		}
	}
	set := make([]setlist.Track, len(tracks))
	for i, p := range r.Places {
		if p.At >= 0 {
			t := tracks[p.At]
			set[p.At] = setlist.Of(t.ID, &t.Measurement, t.Trim.TrimDB)
			set[p.At].Place = i + 1
		}
	}
	r.Set = setlist.Check(set, o.Set)
	return nil
}

// Reordered is the same with its tracks in another order, which has the place of each in this
// one's set. Entries that were not found follow at the end.
func (r *Order) Reordered(order []int, o setlist.Options) *Order {
	n := &Order{List: r.List}
	set := make([]setlist.Track, len(order))
	at := make([]Place, len(order))
	for _, p := range r.Places {
		if p.At >= 0 {
			at[p.At] = p
		}
	}
	for i, from := range order {
		set[i] = r.Set.Tracks[from]
		set[i].Place = i + 1
		n.Places = append(n.Places, Place{at[from].Found, i})
	}
	for _, p := range r.Places {
		if p.At < 0 {
			n.Places = append(n.Places, p)
		}
	}
	n.Set = setlist.Check(set, o)
	return n
}
