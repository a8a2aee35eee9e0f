package live

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"net/http"
	"net/url"
	"strconv"
	"time"

	"dubgauge/library"
)

// errNoAudio: there is nothing to listen to.
var errNoAudio = errors.New("this track has no audio to play: its file is gone, silent or cannot be read")

// errBadPart: a part that no page asks for.
var errBadPart = errors.New("a part of a track has a beginning (from) inside it and a length (len), in seconds")

// loudnessHeader says by how many LU the moves change the loudness of a part.
const loudnessHeader = "Dubgauge-Moves-LU"

// audio sends a part of a track as WAV: from a time on, else the loudest part, as it is or
// with the moves of the advice. A few are decoded at a time, each into memory; others wait
// for their turn without using any, or until they are no longer wanted. Sending is apart
// from that: a reader who takes nothing keeps nobody from listening.
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
	p, err := parsePart(t, r.URL.Query())
	if err == nil && r.URL.Query().Has("moves") {
		p.moves, err = s.movesOf(r.Context(), t)
		if err == nil && len(p.moves) == 0 {
			err = errNoMoves
		}
	}
	if err != nil {
		s.fail(w, r, err)
		return
	}
	got, release, err := s.decoded(r.Context(), t, p)
	if err != nil {
		s.fail(w, r, fmt.Errorf("%s: %w", t.Path, err))
		return
	}
	defer release()
	w.Header().Set("Content-Type", "audio/wav")
	w.Header().Set("Content-Length", strconv.Itoa(len(got.wav)))
	if len(p.moves) > 0 {
		w.Header().Set(loudnessHeader, strconv.FormatFloat(got.movesLU, 'f', 3, 64))
	}
	deliver(w, got.wav)
}

// parsePart reads what part of t is asked for.
func parsePart(t *library.Track, q url.Values) (p part, err error) {
	p = part{from: segmentStart(t), seconds: segmentSeconds}
	for name, to := range map[string]*float64{"from": &p.from, "len": &p.seconds} {
		if text := q.Get(name); text != "" {
			if *to, err = strconv.ParseFloat(text, 64); err != nil {
				return p, errBadPart
			}
		}
	}
	if !(p.from >= 0 && p.from < float64(t.Measurement.File.DurationS)) || !(p.seconds > 0) {
		return p, errBadPart // also what is no number
	}
	p.seconds = min(p.seconds, longest(t))
	return p, nil
}

// made is a part that was decoded.
type made struct {
	wav     []byte
	movesLU float64 // by how many LU the moves change its loudness
}

// decoded is the segment of a track as a WAV file. release gives its memory free for
// others.
func (s *Server) decoded(ctx context.Context, t *library.Track, p part) (got made, release func(), err error) {
	ctx, cancel := context.WithTimeout(ctx, decodeTime)
	defer cancel()
	if err := enter(ctx, s.held); err != nil {
		return got, nil, err
	}
	leave := func() { <-s.held }
	if got, err = s.decode(ctx, t, p); err != nil {
		leave()
		return got, nil, err
	}
	return got, leave, nil
}

func (s *Server) decode(ctx context.Context, t *library.Track, p part) (made, error) {
	if err := enter(ctx, s.segments); err != nil {
		return made{}, err
	}
	defer func() { <-s.segments }()
	g, err := openSegment(ctx, t, &s.seen, p)
	if err != nil {
		return made{}, err
	}
	defer g.close()
	b := bytes.NewBuffer(make([]byte, 0, g.size()))
	if err := g.writeTo(ctx, b); err != nil {
		return made{}, err
	}
	got := made{wav: b.Bytes()}
	if g.moved != nil {
		got.movesLU = g.moved.change()
	}
	return got, nil
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
