package live

import (
	"bytes"
	"context"
	"errors"
	"io"
	"net/http"
	"os"
	"strconv"
	"strings"

	"dubgauge/export/page"
	"dubgauge/export/sheet"
	"dubgauge/export/whole"
	"dubgauge/export/words"
	"dubgauge/library"
)

func (s *Server) options(ctx context.Context) page.Options {
	return page.Options{Title: s.opts.Title, Judge: s.opts.Judge, Fill: s.filler(ctx),
		Spectra: func(ids []int64) ([]library.Spectrum, error) { return s.store.Spectra(ctx, ids) }}
}

func (s *Server) filler(ctx context.Context) whole.Fill {
	return func(tracks []*library.Track) error { return s.store.Fill(ctx, tracks) }
}

func (s *Server) page(w http.ResponseWriter, r *http.Request) {
	shelf, err := s.laid(r.Context())
	if err != nil {
		s.fail(w, r, err)
		return
	}
	from, _ := strconv.Atoi(r.URL.Query().Get("from")) // 0 is the first page
	s.send(w, r, func(out io.Writer) error { return shelf.List(out, page.ParseFilter(r.URL.Query()), from) })
}

func (s *Server) track(w http.ResponseWriter, r *http.Request) {
	tracks, t, err := s.find(r)
	if err != nil {
		s.fail(w, r, err)
		return
	}
	s.send(w, r, func(out io.Writer) error {
		return page.Single(out, tracks, t, s.options(r.Context()), page.Served{Undo: s.lastMark(), Listen: panel, Hold: choices, Filter: page.ParseFilter(r.URL.Query())})
	})
}

// form gives what writes an export of that name, and its type; nil for no export.
func form(name string, opts page.Options) (write func(io.Writer, []library.Track) error, kind string) {
	order := words.ByMismatch
	if key, err := words.ParseSortKey(opts.Filter.Order); err == nil {
		order = key
	}
	ordered := func(write func(io.Writer, []library.Track, words.SortKey) error) func(io.Writer, []library.Track) error {
		return func(w io.Writer, tracks []library.Track) error { return write(w, tracks, order) }
	}
	type filling = func(io.Writer, []library.Track, words.SortKey, whole.Fill) error
	asTheyAre := func(write filling) func(io.Writer, []library.Track, words.SortKey) error {
		return func(w io.Writer, tracks []library.Track, key words.SortKey) error {
			return write(w, tracks, key, opts.Fill)
		}
	}
	switch name {
	case "trims.csv":
		return ordered(sheet.TrimsCSV), "text/csv; charset=utf-8"
	case "tracks.csv":
		return ordered(asTheyAre(sheet.TracksCSV)), "text/csv; charset=utf-8"
	case "tracks.jsonl":
		return ordered(asTheyAre(sheet.SortedJSON)), "application/jsonl"
	case "sheet.html":
		return func(w io.Writer, tracks []library.Track) error { return page.Report(w, tracks, opts) }, "text/html; charset=utf-8"
	}
	return nil, ""
}

// find returns all tracks and, with its whole record, the one whose number is in the path.
func (s *Server) find(r *http.Request) ([]library.Track, *library.Track, error) {
	tracks, err := s.library(r.Context())
	if err != nil {
		return nil, nil, err
	}
	id, err := strconv.ParseInt(r.PathValue("id"), 10, 64)
	if err == nil {
		for i := range tracks {
			if t := tracks[i]; t.ID == id {
				return tracks, &t, s.store.Fill(r.Context(), []*library.Track{&t})
			}
		}
	}
	return nil, nil, library.ErrNoTrack
}

// send runs a page to its end before anything is sent, so that an error can still
// be said.
func (s *Server) send(w http.ResponseWriter, r *http.Request, write func(io.Writer) error) {
	var b bytes.Buffer
	if err := write(&b); err != nil {
		s.fail(w, r, err)
		return
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	_, _ = w.Write(b.Bytes()) // nobody is left to tell
}

// fail says what went wrong, once, with the next step.
func (s *Server) fail(w http.ResponseWriter, r *http.Request, err error) {
	if r.Context().Err() != nil {
		return // nobody waits for the answer
	}
	status, text := wrong(err)
	if status == http.StatusInternalServerError && s.opts.Log != nil {
		s.opts.Log.Printf("%s: %s", r.URL.Path, words.Error(err))
	}
	refuse(w, r, status, text)
}

// wrong puts an error into the status of an answer and words.
func wrong(err error) (status int, text string) {
	var tooLarge *http.MaxBytesError
	var changed *library.ChangedError
	switch {
	case errors.As(err, &tooLarge):
		return http.StatusRequestEntityTooLarge, "that is too much for one request"
	case errors.Is(err, os.ErrDeadlineExceeded):
		return http.StatusRequestTimeout, "the request did not arrive in time: try again"
	case errors.Is(err, library.ErrNoTrack):
		return http.StatusNotFound, "no such track in the library: go back to the list"
	case errors.Is(err, errNoPage):
		return http.StatusNotFound, err.Error()
	case errors.Is(err, errNoAudio), errors.Is(err, errUnread), errors.Is(err, errNoMoves):
		return http.StatusNotFound, err.Error()
	case errors.As(err, &changed):
		return http.StatusConflict, words.Clean(words.Error(err)) + ": have it measured again, until then its level is not known"
	case errors.Is(err, errUndoGone):
		return http.StatusNotFound, err.Error()
	case errors.Is(err, errMarkedSince):
		return http.StatusConflict, err.Error()
	case errors.Is(err, errBadMark), errors.Is(err, errNoUndo), errors.Is(err, errBadPart):
		return http.StatusBadRequest, err.Error()
	case errors.Is(err, library.ErrReadOnly):
		return http.StatusConflict, "the database cannot be written to, so marks cannot be kept: see to its permissions"
	case errors.Is(err, library.ErrMoved):
		return http.StatusConflict, words.Clean(words.Error(err))
	case errors.Is(err, context.DeadlineExceeded):
		return http.StatusServiceUnavailable, "that took too long, as others listen or the medium is slow: try again in a moment"
	}
	return http.StatusInternalServerError, "that did not work: " + words.Clean(words.Error(err))
}

// errNoPage: there is nothing of that name.
var errNoPage = errors.New("there is no such page: go back to the list")

// refuse answers with an error: to somebody who reads, on a page that looks like the others and
// leads back to them; else in plain words.
func refuse(w http.ResponseWriter, r *http.Request, status int, text string) {
	if !strings.Contains(r.Header.Get("Accept"), "text/html") {
		http.Error(w, text, status)
		return
	}
	var b bytes.Buffer
	if err := page.Message(&b, words.Capital(text)+"."); err != nil {
		http.Error(w, text, status)
		return
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.WriteHeader(status)
	_, _ = w.Write(b.Bytes()) // nobody is left to tell
}

func asset(w http.ResponseWriter, r *http.Request) { sendAsset(w, r, r.PathValue("name")) }

func sendAsset(w http.ResponseWriter, r *http.Request, name string) {
	text, kind, ok := page.Asset(name)
	if !ok {
		refuse(w, r, http.StatusNotFound, errNoPage.Error())
		return
	}
	w.Header().Set("Content-Type", kind)
	_, _ = w.Write(text) // nobody is left to tell
}
