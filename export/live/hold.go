package live

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"net/http"
	"slices"
	"strconv"
	"time"

	"dubgauge/detect/compare"
	"dubgauge/export/encode"
	"dubgauge/export/page"
	"dubgauge/export/words"
	"dubgauge/library"
)

// mostHeld is how many references a track can be held against: the nearest.
const mostHeld = 20

// lookTime bounds what is found out on demand: two tracks read whole, or the loudest part of one
// encoded twice.
const lookTime = 2 * time.Minute

// errUnread: there is nothing to look at.
var errUnread = errors.New("this track cannot be looked at: its file is gone, silent or cannot be read")

// choices are what t can be compared with: its other versions, then the references that are
// nearest to it.
func choices(t *library.Track, refs []*library.Track) (list []page.Choice, readable bool) {
	if !playable(t) {
		return nil, false
	}
	seen := map[int64]bool{t.ID: true}
	if t.Versions != nil {
		for _, v := range t.Versions.Tracks {
			seen[v.ID] = true
			list = append(list, page.Choice{ID: v.ID, Label: fmt.Sprintf("version: #%d %s", v.ID, words.Clean(v.Path))})
		}
	}
	near := slices.DeleteFunc(slices.Clone(refs), func(r *library.Track) bool { return seen[r.ID] || !playable(r) })
	slices.SortStableFunc(near, func(a, b *library.Track) int {
		return cmp.Or(cmp.Compare(distance(t, a), distance(t, b)), cmp.Compare(a.Path, b.Path))
	})
	for _, r := range near[:min(mostHeld, len(near))] {
		list = append(list, page.Choice{ID: r.ID, Label: besideWords(t, r)})
	}
	return list, true
}

// closer decodes the loudest part of a track and says what it shows.
func (s *Server) closer(w http.ResponseWriter, r *http.Request) {
	_, t, err := s.find(r)
	if err == nil && !playable(t) {
		err = errUnread
	}
	if err != nil {
		s.fail(w, r, err)
		return
	}
	var said []string
	err = s.look(r.Context(), func(ctx context.Context) error {
		l, err := encode.Look(ctx, t)
		if err != nil {
			return err
		}
		said = append(said, words.Capital(words.Page.ByBand(&l, t))+".")
		for _, c := range l.Copies {
			said = append(said, "As "+words.ShortEncoding(c.Encoding)+": "+words.Page.Copy(&c)+".")
		}
		return nil
	})
	s.say(w, r, "The loudest 30 s of "+words.Name(t), t, said, err)
}

// compare lays two tracks side by side.
func (s *Server) compare(w http.ResponseWriter, r *http.Request) {
	a, b, err := s.pair(r)
	if err != nil {
		s.fail(w, r, err)
		return
	}
	s.send(w, r, func(out io.Writer) error { return page.Compare(out, a, b, page.Served{Undo: s.lastMark()}) })
}

// between reads two tracks and says what was done between them.
func (s *Server) between(w http.ResponseWriter, r *http.Request) {
	a, b, err := s.pair(r)
	if err != nil {
		s.fail(w, r, err)
		return
	}
	var said []string
	err = s.look(r.Context(), func(ctx context.Context) error {
		result, err := compare.Tracks(ctx, a.Opener(ctx), b.Opener(ctx))
		if err == nil {
			said = words.ComparedTracks(&result, &a.Measurement, &b.Measurement)
		}
		return err
	})
	s.say(w, r, words.Name(a)+" and "+words.Name(b), a, said, err)
}

// look runs what takes a while, in one of the places in which tracks are decoded.
func (s *Server) look(ctx context.Context, run func(context.Context) error) error {
	ctx, cancel := context.WithTimeout(ctx, lookTime)
	defer cancel()
	if err := enter(ctx, s.segments); err != nil {
		return err
	}
	defer func() { <-s.segments }()
	return run(ctx)
}

// say sends what was found out of t, as a part of a page where that is asked for.
func (s *Server) say(w http.ResponseWriter, r *http.Request, title string, t *library.Track, said []string, err error) {
	if err != nil {
		s.fail(w, r, err)
		return
	}
	s.send(w, r, func(out io.Writer) error {
		return page.Sentences(out, title, fmt.Sprintf("/track/%d", t.ID), said, r.URL.Query().Get("part") != "")
	})
}

// pair finds the two tracks that a request names by their numbers.
func (s *Server) pair(r *http.Request) (a, b *library.Track, err error) {
	tracks, err := s.library(r.Context())
	if err != nil {
		return nil, nil, err
	}
	q := r.URL.Query()
	for i := range tracks {
		t := tracks[i] // shared, and not whole
		switch id := strconv.FormatInt(t.ID, 10); {
		case id == q.Get("a"):
			a = &t
		case id == q.Get("b"):
			b = &t
		}
	}
	if a == nil || b == nil {
		return nil, nil, library.ErrNoTrack
	}
	if !playable(a) || !playable(b) {
		return nil, nil, errUnread
	}
	return a, b, s.store.Fill(r.Context(), []*library.Track{a, b})
}
