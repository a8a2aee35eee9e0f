package live

import (
	"context"
	"encoding/json"
	"net/http"

	"dubgauge/export/page"
	"dubgauge/library"
)

// known is the library as it was read last. tracks are shared: they are replaced, never
// changed.
type known struct {
	tracks  []library.Track
	state   library.State // that they are of
	version int64         // counts what was read; 0 is before anything was
}

// library returns the tracks, ignored ones too, without what lists do not show: their
// timelines and spectra are filled in where they are needed (find, page.Options). They are
// read again only when the library is no longer what it was.
func (s *Server) library(ctx context.Context) ([]library.Track, error) {
	k, err := s.latest(ctx)
	return k.tracks, err
}

// latest is the library as it is now.
func (s *Server) latest(ctx context.Context) (known, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	state, err := s.store.State(ctx)
	if err != nil {
		return known{}, err
	}
	if s.known.version > 0 && s.known.state == state {
		return s.known, nil
	}
	tracks, err := s.store.Tracks(ctx, library.TrackOptions{IncludeIgnored: true, Prints: true, Judge: s.opts.Judge})
	if err != nil {
		return known{}, err
	}
	s.take(tracks, state)
	return s.known, nil
}

// take has these tracks be the library. The caller holds mu.
func (s *Server) take(tracks []library.Track, state library.State) {
	s.known = known{tracks, state, s.known.version + 1}
}

// laid is the shelf with the library as it is now.
func (s *Server) laid(ctx context.Context) (*page.Shelf, error) {
	k, err := s.latest(ctx)
	if err != nil {
		return nil, err
	}
	return s.shelf, s.shelf.Lay(k.version, k.tracks, s.options(ctx), s.lastMark())
}

// changes tells what changed since the state that the page has.
func (s *Server) changes(w http.ResponseWriter, r *http.Request) {
	s.sendChanges(w, r, r.URL.Query().Get("since"))
}

func (s *Server) sendChanges(w http.ResponseWriter, r *http.Request, since string) {
	shelf, err := s.laid(r.Context())
	if err != nil {
		s.fail(w, r, err)
		return
	}
	delta, err := shelf.Since(since)
	if err != nil {
		s.fail(w, r, err)
		return
	}
	w.Header().Set("Content-Type", "application/json")
	out := json.NewEncoder(w)
	out.SetEscapeHTML(false) // the type says that it is no page
	_ = out.Encode(delta)    // nobody is left to tell
}
