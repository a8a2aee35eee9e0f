// Package live shows a library on this machine: the page, with marks that can be
// undone, the exports, and segments of the audio to listen to beside a reference at
// equal loudness; and running orders of playlists. It answers nobody but a browser on the
// same machine and reads nothing but tracks that are in the database, by their number, and
// playlists that are named.
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
	"dubgauge/export/page"
	"dubgauge/library"
)

// Store is what the server needs of the library's database; *library.DB is one.
type Store interface {
	State(ctx context.Context) (library.State, error)
	Tracks(ctx context.Context, o library.TrackOptions) ([]library.Track, error)
	Fill(ctx context.Context, tracks []*library.Track) error
	Spectra(ctx context.Context, ids []int64) ([]library.Spectrum, error)
	Rejudge(ctx context.Context, tracks []library.Track, marks map[int64]library.Marks, o standout.Options) ([]library.Track, error)
	MarkBetween(ctx context.Context, ids []int64, change func(library.Marks) library.Marks) (before map[int64]library.Marks, at library.Between, err error)
	RestoreBetween(ctx context.Context, was, now map[int64]library.Marks) (restored int, at library.Between, err error)
}

// Options of a server. The zero value is the default.
type Options struct {
	// Title heads the page; empty is "Trim sheet".
	Title string
	// Judge holds the options of the verdicts.
	Judge standout.Options
	// Log gets a line for what went wrong; nil for nothing.
	Log *log.Logger
	// Scanner scans from the page; nil for a page without that.
	Scanner Scanner
	// Media lists what is mounted, and is asked each MediaEvery; nil and zero ask the system
	// every two seconds. Music is the user's folder for music; empty for none.
	Media      func() ([]library.Medium, error)
	MediaEvery time.Duration
	Music      string
}

const (
	// maxSegments is how many segments are decoded at once; others wait. maxHeld is how many
	// lie in memory, being decoded or sent: 10 MB each at 44.1 kHz, 24 MB at the most.
	maxSegments = 4
	maxHeld     = 8
	// decodeTime bounds the decoding of one segment, which may lie two hours into a
	// recording, with the wait for it.
	decodeTime = time.Minute
	// arrivalTime is what a request may take to arrive.
	arrivalTime = 10 * time.Second
	// shutdownTime is what open requests get to end.
	shutdownTime = 3 * time.Second
)

var (
	// sendTime bounds an answer as a whole; shorter in a test.
	sendTime = 3 * time.Minute
	// stallTime is how long a reader may take for a piece of an answer: a browser takes it at
	// once. Shorter in a test.
	stallTime = 10 * time.Second
)

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
	seen     library.Seen  // files that are those that were measured

	scans    *scans // nil where nothing can be scanned
	watch    watch
	news     news
	glances  glances
	quitting chan struct{} // closed by the button that ends the program
	quitOnce sync.Once

	marking  sync.Mutex // one change of marks at a time, with what it remembers
	foreseen foresight  // what was asked about last; guarded by marking

	shelf  *page.Shelf
	sheets sheets

	mu    sync.Mutex // guards what follows
	known known
	undo  []*undoStep
	steps int64 // so far
}

// New makes a server for what store holds. It is an http.Handler, guarded
// already; Serve listens for it.
func New(store Store, opts Options) *Server {
	s := &Server{store: store, opts: opts, lock: newLock(), segments: make(chan struct{}, maxSegments), held: make(chan struct{}, maxHeld), quitting: make(chan struct{})}
	s.shelf, s.sheets.making = page.NewShelf(newKey()[:8]), make(chan struct{}, 1)
	mux := http.NewServeMux()
	mux.HandleFunc("GET /{$}", s.home)
	mux.HandleFunc("GET /changes", s.changes)
	mux.HandleFunc("GET /track/{id}", s.track)
	mux.HandleFunc("GET /track/{id}/closer", s.closer)
	mux.HandleFunc("GET /compare", s.compare)
	mux.HandleFunc("GET /compare/between", s.between)
	mux.HandleFunc("GET /audio/{id}", s.audio)
	mux.HandleFunc("GET /listen/{id}", s.listen)
	mux.HandleFunc("GET /lay/{id}/{other}", s.lay)
	mux.HandleFunc("POST /marks", s.mark)
	mux.HandleFunc("POST /undo", s.takeBack)
	mux.HandleFunc("GET /export/{name}", s.export)
	mux.HandleFunc("GET "+orderPath, s.order)
	mux.HandleFunc("POST "+orderPath, s.uploadedOrder)
	mux.HandleFunc("GET /assets/{name}", asset)
	mux.HandleFunc("GET /", func(w http.ResponseWriter, r *http.Request) { s.fail(w, r, errNoPage) })
	for _, form := range []string{"GET /marks", "GET /undo"} {
		mux.HandleFunc(form, func(w http.ResponseWriter, r *http.Request) {
			w.Header().Set("Allow", http.MethodPost)
			refuse(w, r, http.StatusMethodNotAllowed, "a mark is set by the buttons of the page: go back to the list")
		})
	}
	mux.HandleFunc("GET /favicon.ico", func(w http.ResponseWriter, r *http.Request) { sendAsset(w, r, "icon.svg") })
	s.openScans(mux)
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
		ReadHeaderTimeout: 5 * time.Second, ReadTimeout: arrivalTime, WriteTimeout: sendTime,
		IdleTimeout: 30 * time.Second, MaxHeaderBytes: 16 << 10, ErrorLog: s.opts.Log,
	}
	if h.ErrorLog == nil {
		h.ErrorLog = log.New(io.Discard, "", 0)
	}
	defer s.beginWatch(base)()
	done := make(chan error, 1)
	go func() { done <- h.Serve(l) }()
	select {
	case err := <-done:
		return err
	case <-ctx.Done():
	case <-s.quitting:
		pause(ctx, quitAfter)
	}
	stop() // segments that are being sent stop, and events
	late, cancel := context.WithTimeout(context.WithoutCancel(ctx), shutdownTime)
	defer cancel()
	err := h.Shutdown(late)
	if errors.Is(err, context.DeadlineExceeded) {
		err = h.Close()
	}
	<-done
	return err
}
