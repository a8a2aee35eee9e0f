// Package live shows a library on this machine: the page, with marks that can be
// undone, the exports, and segments of the audio to listen to beside a reference at
// equal loudness. It answers nobody but a browser on the same machine and reads
// nothing but tracks that are in the database, by their number.
package live

import (
	"context"
	"errors"
	"fmt"
	"io"
	"log"
	"net"
	"net/http"
	"strconv"
	"sync"
	"time"

	"dubgauge/detect/standout"
	"dubgauge/library"
)

// Store is what the server needs of the library's database; *library.DB is one.
type Store interface {
	Tracks(ctx context.Context, o library.TrackOptions) ([]library.Track, error)
	SetMarks(ctx context.Context, ids []int64, change func(library.Marks) library.Marks) (before map[int64]library.Marks, err error)
	RestoreMarks(ctx context.Context, was, now map[int64]library.Marks) (restored int, err error)
}

// Options of a server. The zero value is the default.
type Options struct {
	// Title heads the page; empty is "Trim sheet".
	Title string
	// Judge holds the options of the verdicts.
	Judge standout.Options
	// Log gets a line for what went wrong; nil for nothing.
	Log *log.Logger
}

const (
	// maxSegments is how many segments are decoded at once; others wait. maxHeld is how many
	// lie in memory, being decoded or sent: 8 MB each at 44.1 kHz.
	maxSegments = 4
	maxHeld     = 12
	// decodeTime bounds the decoding of one segment, which may lie two hours into a
	// recording, with the wait for it.
	decodeTime = time.Minute
	// sendTime bounds an answer as a whole.
	sendTime = 3 * time.Minute
	// freshFor is how long tracks that were read are shown again before the
	// database is asked anew, as a scan may go on beside the page.
	freshFor = 2 * time.Second
	// shutdownTime is what open requests get to end.
	shutdownTime = 3 * time.Second
)

// stallTime is how long a reader may take for a piece of an answer: a browser takes it at once.
var stallTime = 10 * time.Second // shorter in a test

// Server shows a library on this machine: the page, live, with marks that can be
// undone and segments of the audio to listen to. It reads only tracks that are in
// the database, by their number.
type Server struct {
	store    Store
	opts     Options
	handler  http.Handler
	lock     *lock
	segments chan struct{} // places to decode
	held     chan struct{} // segments in memory

	marking sync.Mutex // one change of marks at a time, with what it remembers

	mu     sync.Mutex // guards what follows
	tracks []library.Track
	read   time.Time
	undo   []*undoStep
	steps  int64 // so far
}

// New makes a server for what store holds. It is an http.Handler, guarded
// already; Serve listens for it.
func New(store Store, opts Options) *Server {
	s := &Server{store: store, opts: opts, lock: newLock(), segments: make(chan struct{}, maxSegments), held: make(chan struct{}, maxHeld)}
	mux := http.NewServeMux()
	mux.HandleFunc("GET /{$}", s.page)
	mux.HandleFunc("GET /track/{id}", s.track)
	mux.HandleFunc("GET /track/{id}/closer", s.closer)
	mux.HandleFunc("GET /compare", s.compare)
	mux.HandleFunc("GET /compare/between", s.between)
	mux.HandleFunc("GET /audio/{id}", s.audio)
	mux.HandleFunc("POST /marks", s.mark)
	mux.HandleFunc("POST /undo", s.takeBack)
	mux.HandleFunc("GET /export/{name}", s.export)
	mux.HandleFunc("GET /assets/{name}", asset)
	mux.HandleFunc("GET /", func(w http.ResponseWriter, r *http.Request) { s.fail(w, r, errNoPage) })
	for _, form := range []string{"GET /marks", "GET /undo"} {
		mux.HandleFunc(form, func(w http.ResponseWriter, r *http.Request) {
			w.Header().Set("Allow", http.MethodPost)
			refuse(w, r, http.StatusMethodNotAllowed, "a mark is set by the buttons of the page: go back to the list")
		})
	}
	mux.HandleFunc("GET /favicon.ico", func(w http.ResponseWriter, r *http.Request) { sendAsset(w, r, "icon.svg") })
	s.handler = guard(s.lock.opens(mux))
	return s
}

// ServeHTTP answers one request.
func (s *Server) ServeHTTP(w http.ResponseWriter, r *http.Request) { s.handler.ServeHTTP(w, r) }

// Address is what to open in a browser, for a server that listens on host: it holds the key
// without which nothing is served.
func (s *Server) Address(host string) string {
	return "http://" + host + "/?" + keyField + "=" + s.lock.key
}

// AddressOnce is such an address that serves once, within a minute: for the call of a browser,
// which other users of the machine can see.
func (s *Server) AddressOnce(host string) string {
	return "http://" + host + "/?" + keyField + "=" + s.lock.pass()
}

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
		ReadHeaderTimeout: 5 * time.Second, ReadTimeout: 10 * time.Second, WriteTimeout: sendTime,
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
