package live

import (
	"context"
	"net/http"
	"sync"
	"time"

	"dubgauge/detect/standout"
	"dubgauge/library"
)

// Scanner is what scanning from the page needs of the library; ScannerOf gives that of a
// database.
type Scanner interface {
	Scan(ctx context.Context, dirs []string, o library.ScanOptions) (library.Report, error)
	ScanTrack(ctx context.Context, id int64, o library.ScanOptions) (library.Report, error)
	State(ctx context.Context) (library.State, error)
	Roots(ctx context.Context) ([]string, error)
	Elsewhere(ctx context.Context) ([]string, error)
	Libraries(ctx context.Context, o standout.Options) ([]library.Root, error)
}

// ScannerOf scans into a database.
func ScannerOf(db *library.DB) Scanner { return dbScanner{db} }

type dbScanner struct{ *library.DB }

func (s dbScanner) Scan(ctx context.Context, dirs []string, o library.ScanOptions) (library.Report, error) {
	return library.Scan(ctx, s.DB, dirs, o)
}

func (s dbScanner) ScanTrack(ctx context.Context, id int64, o library.ScanOptions) (library.Report, error) {
	return library.ScanTrack(ctx, s.DB, id, o)
}

// openScans adds what scanning takes to the server, where it can scan.
func (s *Server) openScans(mux *http.ServeMux) {
	if s.opts.Scanner == nil {
		return
	}
	if s.opts.Media == nil {
		s.opts.Media = library.Media
	}
	if s.opts.MediaEvery <= 0 {
		s.opts.MediaEvery = mediaEvery
	}
	s.scans = newScans(s.opts.Scanner, s.tell, s.scanOver)
	mux.HandleFunc("GET /start", s.start)
	mux.HandleFunc("GET /events", s.events)
	for form, do := range map[string]http.HandlerFunc{"/scan": s.scan, "/scan/stop": s.scanStop, "/scan/later": s.scanLater, "/quit": s.quit} {
		mux.HandleFunc("POST "+form, do)
		mux.HandleFunc("GET "+form, notByAddress)
	}
}

// beginWatch notices what changes until ctx ends; the function that it returns ends the scan as
// well and waits for both.
func (s *Server) beginWatch(ctx context.Context) (end func()) {
	if s.scans == nil {
		return func() {}
	}
	ctx, stop := context.WithCancel(ctx)
	context.AfterFunc(ctx, s.scans.end)
	var wg sync.WaitGroup
	wg.Go(func() { s.watchLibrary(ctx) })
	wg.Go(func() { s.watchMedia(ctx) })
	return func() {
		stop()
		s.scans.close()
		wg.Wait()
	}
}

// pause waits, unless ctx ends.
func pause(ctx context.Context, d time.Duration) {
	select {
	case <-ctx.Done():
	case <-time.After(d):
	}
}
