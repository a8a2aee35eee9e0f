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

func (s *Server) options() page.Options {
	return page.Options{Title: s.opts.Title, Judge: s.opts.Judge}
}

func (s *Server) page(w http.ResponseWriter, r *http.Request) {
	tracks, err := s.library(r.Context(), false)
	if err != nil {
		s.fail(w, r, err)
		return
	}
	s.send(w, r, func(out io.Writer) error {
		return page.List(out, tracks, s.options(), page.ParseFilter(r.URL.Query()), page.Served{Undo: s.lastMark()})
	})
}

func (s *Server) track(w http.ResponseWriter, r *http.Request) {
	tracks, t, err := s.find(r)
	if err != nil {
		s.fail(w, r, err)
		return
	}
	s.send(w, r, func(out io.Writer) error {
		return page.Single(out, tracks, t, s.options(), page.Served{Undo: s.lastMark(), Listen: newListen, Hold: choices})
	})
}

func (s *Server) export(w http.ResponseWriter, r *http.Request) {
	tracks, err := s.library(r.Context(), true)
	if err != nil {
		s.fail(w, r, err)
		return
	}
	write, kind := form(r.PathValue("name"), s.options())
	if write == nil {
		s.fail(w, r, errNoPage)
		return
	}
	var b bytes.Buffer
	if err := write(&b, tracks); err != nil {
		s.fail(w, r, err)
		return
	}
	w.Header().Set("Content-Disposition", `attachment; filename="dubgauge-`+r.PathValue("name")+`"`)
	w.Header().Set("Content-Type", kind)
	_, _ = w.Write(b.Bytes()) // nobody is left to tell
}

// form gives what writes an export of that name, and its type; nil for no export.
func form(name string, opts page.Options) (write func(io.Writer, []library.Track) error, kind string) {
	byLevel := func(write func(io.Writer, []library.Track, words.SortKey) error) func(io.Writer, []library.Track) error {
		return func(w io.Writer, tracks []library.Track) error { return write(w, tracks, words.ByMismatch) }
	}
	type filling = func(io.Writer, []library.Track, words.SortKey, whole.Fill) error
	asTheyAre := func(write filling) func(io.Writer, []library.Track, words.SortKey) error {
		return func(w io.Writer, tracks []library.Track, key words.SortKey) error { return write(w, tracks, key, nil) }
	}
	switch name {
	case "trims.csv":
		return byLevel(sheet.TrimsCSV), "text/csv; charset=utf-8"
	case "tracks.csv":
		return byLevel(asTheyAre(sheet.TracksCSV)), "text/csv; charset=utf-8"
	case "tracks.jsonl":
		return byLevel(asTheyAre(sheet.SortedJSON)), "application/jsonl"
	case "sheet.html":
		return func(w io.Writer, tracks []library.Track) error { return page.Report(w, tracks, opts) }, "text/html; charset=utf-8"
	}
	return nil, ""
}

// find returns the track whose number is in the path, of any root that is served.
func (s *Server) find(r *http.Request) ([]library.Track, *library.Track, error) {
	tracks, err := s.library(r.Context(), false)
	if err != nil {
		return nil, nil, err
	}
	id, err := strconv.ParseInt(r.PathValue("id"), 10, 64)
	if err == nil {
		for i := range tracks {
			if t := &tracks[i]; t.ID == id {
				return tracks, t, nil
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
	switch {
	case errors.As(err, &tooLarge):
		return http.StatusRequestEntityTooLarge, "that is too much for one request"
	case errors.Is(err, os.ErrDeadlineExceeded):
		return http.StatusRequestTimeout, "the request did not arrive in time: try again"
	case errors.Is(err, library.ErrNoTrack):
		return http.StatusNotFound, "no such track in the library: go back to the list"
	case errors.Is(err, errNoPage):
		return http.StatusNotFound, err.Error()
	case errors.Is(err, errNoAudio), errors.Is(err, errUnread):
		return http.StatusNotFound, err.Error()
	case errors.Is(err, errUndoGone):
		return http.StatusNotFound, err.Error()
	case errors.Is(err, errMarkedSince):
		return http.StatusConflict, err.Error()
	case errors.Is(err, errBadMark), errors.Is(err, errNoUndo):
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
