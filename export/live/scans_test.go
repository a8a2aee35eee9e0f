package live

import (
	"context"
	"errors"
	"fmt"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"dubgauge/detect/standout"
	"dubgauge/library"
)

// desk is a scanner that does what a test says: each scan waits for a word, and the library is in
// the state that the database is in.
type desk struct {
	Scanner // for what is not made up: State, Roots, Libraries

	mu    sync.Mutex
	asked []string // what was scanned, as text
	tell  func(library.Progress)
	begun chan struct{}    // gets one for each scan that began
	end   chan error       // ends a scan
	says  library.Report   // its report
	then  library.Progress // its last progress
}

func newDesk(s Scanner) *desk {
	return &desk{Scanner: s, begun: make(chan struct{}, 10), end: make(chan error)}
}

func (d *desk) do(ctx context.Context, what string, o library.ScanOptions) (library.Report, error) {
	d.mu.Lock()
	d.asked, d.tell = append(d.asked, what), o.Progress
	d.mu.Unlock()
	d.begun <- struct{}{}
	var err error
	select {
	case err = <-d.end:
	case <-ctx.Done():
		err = ctx.Err()
	}
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.then.Phase != "" {
		o.Progress(d.then)
	}
	return d.says, err
}

func (d *desk) Scan(ctx context.Context, dirs []string, o library.ScanOptions) (library.Report, error) {
	return d.do(ctx, strings.Join(dirs, " "), o)
}

func (d *desk) ScanTrack(ctx context.Context, id int64, o library.ScanOptions) (library.Report, error) {
	return d.do(ctx, fmt.Sprintf("#%d", id), o)
}

func (d *desk) last() string {
	d.mu.Lock()
	defer d.mu.Unlock()
	return strings.Join(d.asked[max(0, len(d.asked)-1):], "")
}

// scanning is a server over a database of made-up records whose scans are those of a desk.
func scanning(t *testing.T) (*Server, *desk) {
	t.Helper()
	db := recorded(t, "a.wav")
	d := newDesk(ScannerOf(db.DB))
	s := New(db, Options{Scanner: d, Media: func() ([]library.Medium, error) { return nil, nil }})
	t.Cleanup(s.scans.close)
	return s, d
}

// sendForm sends a form as the page's script does.
func sendForm(s *Server, path string, form url.Values) (status int, said string) {
	status, said = post(s, path, form)
	return status, strings.TrimSpace(said)
}

// settle waits until no scan runs.
func settle(t *testing.T, s *Server) {
	t.Helper()
	for range 500 {
		if j := s.scans.now(); j == nil || !j.running {
			return
		}
		time.Sleep(10 * time.Millisecond)
	}
	t.Fatal("the scan does not end")
}

// One scan runs at a time; a second is refused, of whatever kind; it is stopped, and goes on with
// the same folders; the page says all of it.
func TestOneScanAtATime(t *testing.T) {
	s, d := scanning(t)
	dir := t.TempDir()
	if w := s.window(); w.State != "none" || w.Said != "" || w.Go != "" {
		t.Errorf("before: %+v", w)
	}
	if status, said := sendForm(s, "/scan/stop", nil); status != 409 || said != "no scan is running" {
		t.Errorf("stopping nothing: %d %q", status, said)
	}
	if status, said := sendForm(s, "/scan", url.Values{"dir": {dir}}); status != 204 {
		t.Fatalf("%d %q", status, said)
	}
	<-d.begun
	d.tell(library.Progress{Phase: library.Measuring, Done: 12, Total: 40, Current: "Dubs/a.wav", AudioSeconds: 850, Elapsed: 10 * time.Second, Left: 80 * time.Second})
	w := s.window()
	name := filepath.Base(dir)
	if w.State != "runs" || w.Said != "Scanning "+name+": a quarter done." || w.Figures != "12 of 40 tracks, 85 times realtime, 1:20 min left" || w.Track != "Dubs/a.wav" || w.Done != 12 || w.Total != 40 || w.Go != "" {
		t.Errorf("while it runs: %+v", w)
	}
	for _, form := range []url.Values{{"dir": {t.TempDir()}}, {"folder": {t.TempDir()}}, {"track": {"1"}}, {}} {
		if status, said := sendForm(s, "/scan", form); status != 409 || said != errBusy.Error() {
			t.Errorf("a second scan, %v: %d %q", form, status, said)
		}
	}
	d.then = library.Progress{Phase: library.Measuring, Done: 13, Total: 40}
	if status, _ := sendForm(s, "/scan/stop", nil); status != 204 {
		t.Errorf("stopping: %d", status)
	}
	settle(t, s)
	if w := s.window(); w.State != "stopped" || w.Said != "Stopped. 13 of 40 tracks done, which is kept." || w.Go != "Go on" || w.Figures != "" {
		t.Errorf("stopped: %+v", w)
	}
	if status, _ := sendForm(s, "/scan", nil); status != 204 {
		t.Errorf("going on: %d", status)
	}
	<-d.begun
	if d.last() != dir {
		t.Errorf("it goes on with %q", d.last())
	}
	d.mu.Lock()
	d.says = library.Report{Total: 40, Measured: 27, Unchanged: 13, Failed: 1, Elapsed: 42 * time.Second}
	d.says.Problems = append(d.says.Problems, library.Problem{Path: "/x/\x1b[1m.wav", Detail: "permission denied"})
	d.mu.Unlock()
	d.end <- nil
	settle(t, s)
	w = s.window()
	if w.State != "done" || w.Said != name+" scanned in 0:42 min: 27 measured, 13 unchanged, 1 could not be read or only in part." || w.Go != "Scan again" {
		t.Errorf("done: %+v", w)
	}
	if len(w.Problems) != 1 || strings.ContainsRune(w.Problems[0], 0x1b) || !strings.HasSuffix(w.Problems[0], "permission denied") {
		t.Errorf("problems: %q", w.Problems)
	}
}

// One track is measured again by its number; what is no number, or of no track, is refused. The
// folders of before stay those to scan again.
func TestScanOfATrack(t *testing.T) {
	s, d := scanning(t)
	dir := t.TempDir()
	id := named(t, s.store, "a.wav").ID
	for track, want := range map[string]int{"": 400, "x": 400, "-1": 400, "0": 400, "99999": 404, "1e3": 400} {
		if status, said := sendForm(s, "/scan", url.Values{"track": {track}}); status != want {
			t.Errorf("track %q: %d %q, want %d", track, status, said, want)
		}
	}
	if err := s.Scan([]string{dir}); err != nil {
		t.Fatal(err)
	}
	<-d.begun
	d.end <- nil
	settle(t, s)
	if w := s.window(); w.Said != "No track was found in "+filepath.Base(dir)+": is it the right folder?" {
		t.Errorf("an empty folder: %q", w.Said)
	}
	if status, said := sendForm(s, "/scan", url.Values{"track": {fmt.Sprint(id)}}); status != 204 {
		t.Fatalf("%d %q", status, said)
	}
	<-d.begun
	if w := s.window(); d.last() != fmt.Sprintf("#%d", id) || w.Said != "Measuring a.wav again." {
		t.Errorf("%s: %q", d.last(), w.Said)
	}
	if status, _ := sendForm(s, "/scan/stop", nil); status != 204 {
		t.Error("not stopped")
	}
	settle(t, s)
	if w := s.window(); w.Said != "Stopped. a.wav was not measured again." || w.Go != "Scan again" {
		t.Errorf("stopped: %+v", w)
	}
	for _, err := range []error{&library.MediumError{Root: "/media/GIG", Err: os.ErrNotExist}, nil} {
		if status, said := sendForm(s, "/scan", url.Values{"track": {fmt.Sprint(id)}}); status != 204 {
			t.Fatalf("%d %q", status, said)
		}
		<-d.begun
		d.end <- err
		settle(t, s)
		if w := s.window(); err != nil && (w.Said != "GIG no longer answers: it was pulled out, or its disk fails. a.wav was not measured again. Plug it in again to go on." || w.Go != "Scan again") {
			t.Errorf("pulled: %+v", w)
		}
	}
	if w := s.window(); w.Said != "a.wav was measured again." || w.Go != "Scan again" {
		t.Errorf("done: %+v", w)
	}
	if status, _ := sendForm(s, "/scan", nil); status != 204 {
		t.Error("no scan again")
	}
	<-d.begun
	if d.last() != dir {
		t.Errorf("scanned again: %q, want %q", d.last(), dir)
	}
}

// Errors of a scan are said with the next step.
func TestScansThatFail(t *testing.T) {
	s, d := scanning(t)
	dir := t.TempDir()
	for _, c := range []struct {
		err         error
		state, said string
	}{
		{&library.MediumError{Root: "/media/GIG", Err: os.ErrNotExist}, "gone", "GIG no longer answers: it was pulled out, or its disk fails. 3 of 9 tracks done, which is kept. Plug it in again to go on."},
		{library.ErrReadOnly, "failed", "The database is read-only."},
		{context.Canceled, "stopped", "Stopped. 3 of 9 tracks done, which is kept."},
	} {
		if err := s.Scan([]string{dir}); err != nil {
			t.Fatal(err)
		}
		<-d.begun
		d.mu.Lock()
		d.then = library.Progress{Phase: library.Measuring, Done: 3, Total: 9}
		d.mu.Unlock()
		d.end <- c.err
		settle(t, s)
		if w := s.window(); w.State != c.state || w.Said != c.said || w.Go == "" {
			t.Errorf("%v: %+v", c.err, w)
		}
	}
}

// Without a scan in this run, "Scan again" takes the libraries that are plugged in.
func TestScanAgainWithoutOneBefore(t *testing.T) {
	s, d := scanning(t)
	d.Scanner = withRoots{d.Scanner, nil}
	if status, said := sendForm(s, "/scan", nil); status != 409 || said != errNoLibrary.Error() {
		t.Errorf("none plugged in: %d %q", status, said)
	}
	d.Scanner = withRoots{d.Scanner.(withRoots).Scanner, []string{t.TempDir(), filepath.Join(t.TempDir(), "none")}}
	here := d.Scanner.(withRoots).roots[0]
	if err := os.WriteFile(filepath.Join(here, "x"), nil, 0o644); err != nil {
		t.Fatal(err)
	}
	if status, said := sendForm(s, "/scan", nil); status != 204 {
		t.Fatalf("%d %q", status, said)
	}
	<-d.begun
	if d.last() != here {
		t.Errorf("it scans %q, want %q", d.last(), here)
	}
}

// withRoots has other libraries than the database.
type withRoots struct {
	Scanner
	roots []string
}

func (w withRoots) Roots(context.Context) ([]string, error) { return w.roots, nil }

func (w withRoots) Libraries(context.Context, standout.Options) ([]library.Root, error) {
	var all []library.Root
	for _, r := range w.roots {
		all = append(all, library.Root{Root: r, Tracks: 1})
	}
	return all, nil
}

// Once the server ends, the scan is stopped and waited for, and none begins.
func TestNoScanAfterTheEnd(t *testing.T) {
	s, d := scanning(t)
	if err := s.Scan([]string{t.TempDir()}); err != nil {
		t.Fatal(err)
	}
	<-d.begun
	s.scans.close()
	if j := s.scans.now(); j.running || !errors.Is(j.err, context.Canceled) {
		t.Errorf("running %v, %v", j.running, j.err)
	}
	if err := s.Scan([]string{t.TempDir()}); !errors.Is(err, errEnding) {
		t.Errorf("a scan after the end: %v", err)
	}
}

// Without a scanner there is nothing of it, and the page is as it was.
func TestNothingToScanWith(t *testing.T) {
	s := New(recorded(t, "a.wav"), Options{})
	for _, target := range []string{"/events", "/start"} {
		if w := ask(s, "GET", target, "", nil); w.Code != 404 {
			t.Errorf("%s: %d", target, w.Code)
		}
	}
	if w := ask(s, "GET", "/", "", nil); w.Code != 200 || strings.Contains(w.Body.String(), `id="window"`) {
		t.Errorf("the page: %d", w.Code)
	}
}

// So many problems of a scan are listed and no more; how many more there are is said.
func TestProblemsThatAreListed(t *testing.T) {
	for n, want := range map[int]int{0: 0, 1: 1, mostProblems: mostProblems, mostProblems + 1: mostProblems + 1, mostProblems + 7: mostProblems + 1} {
		j := job{}
		for range n {
			j.report.Problems = append(j.report.Problems, library.Problem{Path: "/a", Detail: "b"})
		}
		got := j.window(false).Problems
		if len(got) != want {
			t.Errorf("of %d problems %d lines are shown, want %d", n, len(got), want)
		}
		if n > mostProblems && got[mostProblems] != fmt.Sprintf("and %d more", n-mostProblems) {
			t.Errorf("of %d problems the last line is %q", n, got[mostProblems])
		}
	}
}

// While a scan looks for files their number still grows, and no share is shown; while it runs, its
// quarters are said.
func TestHowFarAScanIs(t *testing.T) {
	for _, c := range []struct {
		p     library.Progress
		total int
		said  string
	}{
		{library.Progress{Phase: library.Looking, Total: 500}, 0, "Scanning GIG."},
		{library.Progress{Phase: library.Comparing, Done: 4, Total: 8}, 8, "Scanning GIG."},
		{library.Progress{Phase: library.Measuring, Done: 0, Total: 0}, 0, "Scanning GIG."},
		{library.Progress{Phase: library.Measuring, Done: 1, Total: 8}, 8, "Scanning GIG."},
		{library.Progress{Phase: library.Measuring, Done: 2, Total: 8}, 8, "Scanning GIG: a quarter done."},
		{library.Progress{Phase: library.Measuring, Done: 4, Total: 8}, 8, "Scanning GIG: half done."},
		{library.Progress{Phase: library.Measuring, Done: 6, Total: 8}, 8, "Scanning GIG: three quarters done."},
		{library.Progress{Phase: library.Measuring, Done: 8, Total: 8}, 8, "Scanning GIG: nearly done."},
	} {
		j := job{name: "GIG", running: true, now: c.p}
		if w := j.window(false); w.Total != c.total || w.Said != c.said || w.Go != "" {
			t.Errorf("%+v: %+v", c.p, w)
		}
	}
	if got := foldersName([]string{"/a/b", "/", "/c\x1b/d"}); got != "b, / and d" {
		t.Errorf("folders are named %q", got)
	}
}
