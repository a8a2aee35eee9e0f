package live

import (
	"context"
	"fmt"
	"net/http"
	"strconv"

	"dubgauge/library"
)

// audio sends the loudest part of a track as WAV. A few are decoded at a time;
// others wait for their turn without using memory, or until they are no longer
// wanted.
func (s *Server) audio(w http.ResponseWriter, r *http.Request) {
	_, t, err := s.find(r)
	if err != nil {
		s.fail(w, r, err)
		return
	}
	if !playable(t) {
		http.Error(w, "this track has no audio to play: its file is gone, silent or cannot be read", http.StatusNotFound)
		return
	}
	ctx, cancel := context.WithTimeout(r.Context(), segmentTime)
	defer cancel()
	select {
	case s.segments <- struct{}{}:
		defer func() { <-s.segments }()
	case <-ctx.Done():
		return
	}
	if err := sendSegment(ctx, w, t); err != nil {
		s.fail(w, r, fmt.Errorf("%s: %w", t.Path, err))
	}
}

// sendSegment returns an error only while nothing is sent yet. What is cut short
// after that is seen by the browser from the length.
func sendSegment(ctx context.Context, w http.ResponseWriter, t *library.Track) error {
	g, err := openSegment(ctx, t)
	if err != nil {
		return err
	}
	defer g.close()
	w.Header().Set("Content-Type", "audio/wav")
	w.Header().Set("Content-Length", strconv.FormatInt(g.size(), 10))
	if err := g.writeTo(ctx, w); err != nil {
		panic(http.ErrAbortHandler) // ends the connection: the rest cannot be had
	}
	return nil
}
