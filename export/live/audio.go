package live

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"net/http"
	"strconv"
	"time"

	"dubgauge/library"
)

// errNoAudio: there is nothing to listen to.
var errNoAudio = errors.New("this track has no audio to play: its file is gone, silent or cannot be read")

// audio sends the loudest part of a track as WAV. A few are decoded at a time, each into
// memory; others wait for their turn without using any, or until they are no longer wanted.
// Sending is apart from that: a reader who takes nothing keeps nobody from listening.
func (s *Server) audio(w http.ResponseWriter, r *http.Request) {
	_, t, err := s.find(r)
	if err != nil {
		s.fail(w, r, err)
		return
	}
	if !playable(t) {
		s.fail(w, r, errNoAudio)
		return
	}
	wav, release, err := s.decoded(r.Context(), t)
	if err != nil {
		s.fail(w, r, fmt.Errorf("%s: %w", t.Path, err))
		return
	}
	defer release()
	w.Header().Set("Content-Type", "audio/wav")
	w.Header().Set("Content-Length", strconv.Itoa(len(wav)))
	deliver(w, wav)
}

// decoded is the segment of a track as a WAV file. release gives its memory free for
// others.
func (s *Server) decoded(ctx context.Context, t *library.Track) (wav []byte, release func(), err error) {
	ctx, cancel := context.WithTimeout(ctx, decodeTime)
	defer cancel()
	if err := enter(ctx, s.held); err != nil {
		return nil, nil, err
	}
	leave := func() { <-s.held }
	if wav, err = s.decode(ctx, t); err != nil {
		leave()
		return nil, nil, err
	}
	return wav, leave, nil
}

func (s *Server) decode(ctx context.Context, t *library.Track) ([]byte, error) {
	if err := enter(ctx, s.segments); err != nil {
		return nil, err
	}
	defer func() { <-s.segments }()
	g, err := openSegment(ctx, t)
	if err != nil {
		return nil, err
	}
	defer g.close()
	b := bytes.NewBuffer(make([]byte, 0, g.size()))
	if err := g.writeTo(ctx, b); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}

// enter takes a place, or waits for one until ctx ends.
func enter(ctx context.Context, places chan struct{}) error {
	select {
	case places <- struct{}{}:
		return nil
	case <-ctx.Done():
		return ctx.Err()
	}
}

// deliver sends in pieces, each of which must be taken within stallTime. Who takes none
// is dropped.
func deliver(w http.ResponseWriter, data []byte) {
	const piece = 64 << 10
	out := http.NewResponseController(w)
	for len(data) > 0 {
		_ = out.SetWriteDeadline(time.Now().Add(stallTime)) // not where there is no connection, as in a test
		n, err := w.Write(data[:min(piece, len(data))])
		if err == nil {
			err = out.Flush()
		}
		if data = data[n:]; err != nil && len(data) > 0 {
			panic(http.ErrAbortHandler) // ends the connection: the rest cannot be had
		}
	}
}
