package live

import (
	"context"
	"errors"
	"net/http"
	"strconv"
	"sync"

	"dubgauge/export/page"
	"dubgauge/export/words"
	"dubgauge/library"
)

var (
	// errBusy: one scan at a time reads the disk and uses the machine.
	errBusy = errors.New("a scan is running already: wait for its end, or stop it first")
	// errNothingRuns: a scan that has ended cannot be stopped.
	errNothingRuns = errors.New("no scan is running")
	// errNoLibrary: there is nothing that a scan could be repeated of.
	errNoLibrary = errors.New("none of your folders is plugged in: plug one in, or choose a folder on the page of folders")
	errEnding    = errors.New("dubgauge is ending: start it again to scan")
	errBadTrack  = errors.New("a track is asked for by its number")
)

// scans lets one scan run at a time, and remembers the last.
type scans struct {
	scanner Scanner
	tell    func()     // that something has changed
	over    func(*job) // is told of a job that ended
	base    context.Context
	end     context.CancelFunc
	wg      sync.WaitGroup

	mu    sync.Mutex
	ended bool
	last  *job     // that runs, or ran last; nil for none
	dirs  []string // that were scanned last
}

func newScans(s Scanner, tell func(), over func(*job)) *scans {
	c := &scans{scanner: s, tell: tell, over: over}
	c.base, c.end = context.WithCancel(context.Background())
	return c
}

// start begins a job, unless one runs.
func (c *scans) start(j *job) error {
	c.mu.Lock()
	defer c.mu.Unlock()
	switch {
	case c.ended:
		return errEnding
	case c.last != nil && c.last.running:
		return errBusy
	}
	ctx, stop := context.WithCancel(c.base)
	j.stop, j.running = stop, true
	j.now.Phase = library.Looking
	if c.last = j; j.track == 0 {
		c.dirs = j.dirs
	}
	c.wg.Go(func() { c.run(ctx, j) })
	c.tell()
	return nil
}

func (c *scans) run(ctx context.Context, j *job) {
	defer j.stop()
	o := library.ScanOptions{Progress: func(p library.Progress) {
		c.mu.Lock()
		j.now = p
		c.mu.Unlock()
		c.tell()
	}}
	var report library.Report
	var err error
	if j.track != 0 {
		report, err = c.scanner.ScanTrack(ctx, j.track, o)
	} else {
		report, err = c.scanner.Scan(ctx, j.dirs, o)
	}
	c.mu.Lock()
	j.report, j.err = report, err
	c.mu.Unlock()
	c.over(j)
	c.mu.Lock()
	j.running = false
	c.mu.Unlock()
	c.tell()
}

// stop ends the scan that runs; what is measured is kept.
func (c *scans) stop() error {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.last == nil || !c.last.running {
		return errNothingRuns
	}
	c.last.stop()
	return nil
}

// close stops what runs, lets nothing else start, and waits.
func (c *scans) close() {
	c.mu.Lock()
	c.ended = true
	c.mu.Unlock()
	c.end()
	c.wg.Wait()
}

// now is a copy of the job that runs or ran last; nil for none.
func (c *scans) now() *job {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.last == nil {
		return nil
	}
	j := *c.last
	return &j
}

// folders are those that were scanned last.
func (c *scans) folders() []string {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.dirs
}

// Scan begins to scan folders; errors say what is wrong with one, or that a scan runs.
func (s *Server) Scan(given []string) error {
	dirs := make([]string, len(given))
	for i, dir := range given {
		at, err := s.scannable(dir)
		if err != nil {
			return err
		}
		dirs[i] = at
	}
	if err := s.scans.start(&job{dirs: dirs, name: foldersName(dirs)}); err != nil {
		return err
	}
	s.watch.seen(dirs)
	return nil
}

// scan begins what the form asks for: a folder, a track, or what was scanned before.
func (s *Server) scan(w http.ResponseWriter, r *http.Request) {
	if err := r.ParseForm(); err != nil {
		s.fail(w, r, err)
		return
	}
	var err error
	switch form := r.PostForm; {
	case form.Has("folder"):
		if err = s.Scan([]string{form.Get("folder")}); err != nil {
			s.startAgain(w, r, form.Get("folder"), err)
			return
		}
	case form.Has("dir"):
		err = s.Scan(form["dir"])
	case form.Has("track"):
		err = s.scanTrack(r, form.Get("track"))
	default:
		err = s.scanAgain(r.Context())
	}
	s.scanAnswer(w, r, err)
}

// scanTrack measures one track of the library again.
func (s *Server) scanTrack(r *http.Request, text string) error {
	if id, err := strconv.ParseInt(text, 10, 64); err != nil || id <= 0 {
		return errBadTrack
	}
	r.SetPathValue("id", text)
	_, t, err := s.find(r)
	if err != nil {
		return err
	}
	return s.scans.start(&job{track: t.ID, name: words.Name(t)})
}

// scanAgain repeats the last scan of folders, or scans all libraries that are plugged in.
func (s *Server) scanAgain(ctx context.Context) error {
	if dirs := s.scans.folders(); dirs != nil {
		return s.Scan(dirs)
	}
	roots, err := s.opts.Scanner.Roots(ctx)
	if err != nil {
		return err
	}
	var here []string
	for _, root := range roots {
		if library.PluggedIn(root) {
			here = append(here, root)
		}
	}
	if len(here) == 0 {
		return errNoLibrary
	}
	return s.Scan(here)
}

func (s *Server) scanStop(w http.ResponseWriter, r *http.Request) {
	s.scanAnswer(w, r, s.scans.stop())
}

// scanLater takes a note about a stick off the page.
func (s *Server) scanLater(w http.ResponseWriter, r *http.Request) {
	err := r.ParseForm()
	if err == nil {
		s.watch.seen(r.PostForm["dir"])
	}
	s.scanAnswer(w, r, err)
}

// scanAnswer says how it went: to a script in a word, else by going back to the page, or to the
// list, which a scan fills.
func (s *Server) scanAnswer(w http.ResponseWriter, r *http.Request, err error) {
	if status := scanStatus(err); status != 0 {
		refuse(w, r, status, err.Error())
		return
	}
	if err == nil && r.Header.Get("Accept") != "text/plain" && s.scans.now() != nil {
		http.Redirect(w, r, "/", http.StatusSeeOther)
		return
	}
	s.answer(w, r, err)
}

// scanStatus is the HTTP status of what is wrong with a wish to scan; 0 for other errors.
func scanStatus(err error) int {
	switch {
	case errors.Is(err, errBusy), errors.Is(err, errNothingRuns), errors.Is(err, errNoLibrary), errors.Is(err, errEnding):
		return http.StatusConflict
	case errors.Is(err, errBadTrack), errors.Is(err, errBadFolder):
		return http.StatusBadRequest
	}
	return 0
}

// scanOver looks, where a disk no longer answers, whether it is still there.
func (s *Server) scanOver(j *job) {
	if !errors.As(j.err, new(*library.MediumError)) {
		return
	}
	if roots, err := s.opts.Scanner.Roots(context.Background()); err == nil {
		s.watch.note(j.dirs, roots, library.PluggedIn)
	}
}

// window is what the page shows beside the list; nil where nothing can be scanned.
func (s *Server) window() *page.Window {
	if s.scans == nil {
		return nil
	}
	w := page.Window{State: page.ScanNone}
	if s.watch.knowsLibraries() {
		w.Go = "Scan again"
	}
	j := s.scans.now()
	if j != nil {
		w = j.window(s.watch.away(j.dirs))
	}
	w.Notes = s.watch.told(j)
	if w.Problems == nil {
		w.Problems = []string{} // for the script, a list without any
	}
	return &w
}
