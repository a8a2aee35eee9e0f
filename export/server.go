package export

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"log"
	"net"
	"net/http"
	"path"
	"strconv"
	"strings"
	"sync"
	"time"

	"dubgauge/detect/standout"
	"dubgauge/export/words"
	"dubgauge/library"
)

// Store is what the server needs of the library's database; *library.DB is one.
type Store interface {
	Tracks(ctx context.Context, o library.TrackOptions) ([]library.Track, error)
	SetMarks(ctx context.Context, ids []int64, change func(library.Marks) library.Marks) (before map[int64]library.Marks, err error)
}

// ServerOptions of a server. The zero value is the default.
type ServerOptions struct {
	// Title heads the page; empty is "Trim sheet".
	Title string
	// Root keeps to the tracks of one library, an absolute path; empty is all.
	Root string
	// Judge holds the options of the verdicts.
	Judge standout.Options
	// Log gets a line for what went wrong; nil for nothing.
	Log *log.Logger
}

const (
	// maxSegments is how many segments are decoded at once; others wait.
	maxSegments = 4
	// segmentTime bounds the decoding and sending of one segment, which may
	// lie two hours into a recording.
	segmentTime = 2 * time.Minute
	// freshFor is how long tracks that were read are shown again before the
	// database is asked anew, as a scan may go on beside the page.
	freshFor = 2 * time.Second
	// shutdownTime is what open requests get to end.
	shutdownTime = 3 * time.Second
)

// Server shows a library on this machine: the page, live, with marks that can be
// undone and segments of the audio to listen to. It reads only tracks that are in
// the database, by their number.
type Server struct {
	store    Store
	opts     ServerOptions
	handler  http.Handler
	segments chan struct{}

	mu     sync.Mutex // guards what follows
	tracks []library.Track
	read   time.Time
	undo   []undoStep
}

// NewServer makes a server for what store holds. It is an http.Handler, guarded
// already; Serve listens for it.
func NewServer(store Store, opts ServerOptions) *Server {
	s := &Server{store: store, opts: opts, segments: make(chan struct{}, maxSegments)}
	mux := http.NewServeMux()
	mux.HandleFunc("GET /{$}", s.page)
	mux.HandleFunc("GET /track/{id}", s.track)
	mux.HandleFunc("GET /audio/{id}", s.audio)
	mux.HandleFunc("POST /marks", s.mark)
	mux.HandleFunc("POST /undo", s.takeBack)
	mux.HandleFunc("GET /export/{name}", s.export)
	mux.HandleFunc("GET /assets/{name}", asset)
	mux.HandleFunc("GET /favicon.ico", func(w http.ResponseWriter, r *http.Request) { sendAsset(w, r, "icon.svg") })
	s.handler = guard(mux)
	return s
}

// ServeHTTP answers one request.
func (s *Server) ServeHTTP(w http.ResponseWriter, r *http.Request) { s.handler.ServeHTTP(w, r) }

// Listen binds to the loopback address 127.0.0.1 and nothing else; port 0 takes a
// free one.
func Listen(ctx context.Context, port int) (net.Listener, error) {
	var c net.ListenConfig
	l, err := c.Listen(ctx, "tcp4", net.JoinHostPort("127.0.0.1", strconv.Itoa(port)))
	if err != nil {
		return nil, fmt.Errorf("cannot listen on port %d of this machine: %w; choose another, or 0 for a free one", port, err)
	}
	return l, nil
}

// Serve answers requests on l until ctx ends, then lets open requests end within
// a few seconds and returns nil. No goroutine of it is left afterwards.
func (s *Server) Serve(ctx context.Context, l net.Listener) error {
	if a, ok := l.Addr().(*net.TCPAddr); !ok || !a.IP.IsLoopback() {
		return fmt.Errorf("%s is not a loopback address: the page is for this machine only", l.Addr())
	}
	base, stop := context.WithCancel(context.WithoutCancel(ctx))
	defer stop()
	h := &http.Server{
		Handler: s, BaseContext: func(net.Listener) context.Context { return base },
		ReadHeaderTimeout: 5 * time.Second, ReadTimeout: 10 * time.Second, WriteTimeout: segmentTime + 10*time.Second,
		IdleTimeout: 30 * time.Second, MaxHeaderBytes: 16 << 10, ErrorLog: s.opts.Log,
	}
	if h.ErrorLog == nil {
		h.ErrorLog = log.New(io.Discard, "", 0)
	}
	done := make(chan error, 1)
	go func() { done <- h.Serve(l) }()
	select {
	case err := <-done:
		return err
	case <-ctx.Done():
	}
	stop() // segments that are being sent stop
	late, cancel := context.WithTimeout(context.WithoutCancel(ctx), shutdownTime)
	defer cancel()
	err := h.Shutdown(late)
	if errors.Is(err, context.DeadlineExceeded) {
		err = h.Close()
	}
	<-done
	return err
}

// library returns the tracks, ignored ones too. What it returns is shared: it is
// replaced, never changed.
func (s *Server) library(ctx context.Context, again bool) ([]library.Track, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if !again && time.Since(s.read) < freshFor {
		return s.tracks, nil
	}
	tracks, err := s.store.Tracks(ctx, library.TrackOptions{Full: true, IncludeIgnored: true, Judge: s.opts.Judge})
	if err != nil {
		return nil, err
	}
	s.tracks, s.read = tracks, time.Now()
	return tracks, nil
}

// own keeps to the root that is served.
func (s *Server) own(tracks []library.Track) []library.Track {
	if s.opts.Root == "" {
		return tracks
	}
	var kept []library.Track
	for _, t := range tracks {
		if t.Root == s.opts.Root {
			kept = append(kept, t)
		}
	}
	return kept
}

func (s *Server) reportOptions() ReportOptions {
	return ReportOptions{Title: s.opts.Title, Judge: s.opts.Judge}
}

func (s *Server) page(w http.ResponseWriter, r *http.Request) {
	tracks, err := s.library(r.Context(), false)
	if err != nil {
		s.fail(w, r, err)
		return
	}
	p := newPage(s.own(tracks), s.reportOptions(), parseFilter(r.URL.Query()), false)
	s.serve(w, r, "page", p)
}

func (s *Server) track(w http.ResponseWriter, r *http.Request) {
	tracks, t, err := s.find(r)
	if err != nil {
		s.fail(w, r, err)
		return
	}
	g := newGroups(tracks, s.opts.Judge)
	p := newPage(nil, s.reportOptions(), filter{}, false)
	one := newRow(t, p)
	one.Detail = newDetail(t, g, allPoints)
	one.Detail.Strips = true
	one.Detail.Listen = newListen(t, g.tracks)
	p.One, p.Groups = &one, drawn(g)
	s.serve(w, r, "alone", p)
}

func (s *Server) export(w http.ResponseWriter, r *http.Request) {
	tracks, err := s.library(r.Context(), true)
	if err != nil {
		s.fail(w, r, err)
		return
	}
	tracks = s.own(tracks)
	var b bytes.Buffer
	kind := "text/csv; charset=utf-8"
	name := r.PathValue("name")
	switch name {
	case "trims.csv":
		err = TrimsCSV(&b, tracks)
	case "tracks.csv":
		err = TracksCSV(&b, tracks)
	case "tracks.jsonl":
		sorted := shown(tracks)
		Sort(sorted, ByMismatch)
		kind, err = "application/jsonl", TracksJSON(&b, sorted)
	case "sheet.html":
		kind, err = "text/html; charset=utf-8", Report(&b, tracks, s.reportOptions())
	default:
		http.NotFound(w, r)
		return
	}
	if err != nil {
		s.fail(w, r, err)
		return
	}
	w.Header().Set("Content-Disposition", `attachment; filename="dubgauge-`+name+`"`)
	w.Header().Set("Content-Type", kind)
	_, _ = w.Write(b.Bytes()) // nobody is left to tell
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
			if t := &tracks[i]; t.ID == id && (s.opts.Root == "" || t.Root == s.opts.Root || playsBeside(t)) {
				return tracks, t, nil
			}
		}
	}
	return nil, nil, library.ErrNoTrack
}

// playsBeside: references come from the whole database, whatever root is served.
func playsBeside(t *library.Track) bool {
	return t.Status == library.Released || t.Marks.Reference
}

// serve runs a template to its end before anything is sent, so that an error can
// still be said.
func (s *Server) serve(w http.ResponseWriter, r *http.Request, name string, p *page) {
	p.Live = true
	p.Style = `<link rel="stylesheet" href="/assets/page.css"><link rel="icon" href="/assets/icon.svg">`
	p.Script = `<script type="module" src="/assets/list.js"></script><script type="module" src="/assets/live.js"></script><script type="module" src="/assets/listen.js"></script>`
	p.Undo = s.lastMark()
	var b bytes.Buffer
	if err := templates.ExecuteTemplate(&b, name, p); err != nil {
		s.fail(w, r, err)
		return
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	_, _ = w.Write(b.Bytes()) // nobody is left to tell
}

// fail says what went wrong, once, with the next step.
func (s *Server) fail(w http.ResponseWriter, r *http.Request, err error) {
	var tooLarge *http.MaxBytesError
	switch {
	case r.Context().Err() != nil:
		return // nobody waits for the answer
	case errors.As(err, &tooLarge):
		http.Error(w, "that is too much for one request", http.StatusRequestEntityTooLarge)
	case errors.Is(err, library.ErrNoTrack):
		http.Error(w, "no such track in the library: go back to the list", http.StatusNotFound)
	case errors.Is(err, errBadMark), errors.Is(err, errNoUndo):
		http.Error(w, err.Error(), http.StatusBadRequest)
	case errors.Is(err, library.ErrReadOnly):
		http.Error(w, "the database cannot be written to, so marks cannot be kept: see to its permissions", http.StatusConflict)
	default:
		if s.opts.Log != nil {
			s.opts.Log.Printf("%s: %s", r.URL.Path, words.Error(err))
		}
		http.Error(w, "that did not work: "+clean(words.Error(err)), http.StatusInternalServerError)
	}
}

var assetTypes = map[string]string{".css": "text/css; charset=utf-8", ".js": "text/javascript; charset=utf-8", ".svg": "image/svg+xml"}

func asset(w http.ResponseWriter, r *http.Request) { sendAsset(w, r, r.PathValue("name")) }

func sendAsset(w http.ResponseWriter, r *http.Request, name string) {
	kind, ok := assetTypes[path.Ext(name)]
	text, err := web.ReadFile("web/" + name)
	if !ok || err != nil || strings.ContainsAny(name, `/\`) {
		http.NotFound(w, r)
		return
	}
	w.Header().Set("Content-Type", kind)
	_, _ = w.Write(text) // nobody is left to tell
}
