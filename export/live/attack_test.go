package live

import (
	"context"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"sync"
	"testing"
	"time"

	"dubgauge/export/browser"
	"dubgauge/export/words"
	"dubgauge/library"
)

// ask sends one request to the handler itself.
func ask(h http.Handler, method, target, body string, change func(*http.Request)) *httptest.ResponseRecorder {
	r := httptest.NewRequest(method, "http://127.0.0.1:4321/", strings.NewReader(body))
	r.URL = &url.URL{Path: target}
	r.RequestURI, r.Host = target, "127.0.0.1:4321"
	if body != "" {
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	}
	if s, ok := h.(*Server); ok {
		r.AddCookie(s.lock.asCookie())
	}
	if change != nil {
		change(r)
	}
	w := httptest.NewRecorder()
	h.ServeHTTP(w, r)
	return w
}

func header(name, value string) func(*http.Request) {
	return func(r *http.Request) { r.Header.Set(name, value) }
}

func TestAttacks(t *testing.T) {
	db, _ := scanned(t, bag()[:6])
	s := New(db, Options{})
	id := named(t, db, "Dubs/night bus edit.wav").ID
	mark := fmt.Sprintf("id=%d&mark=released", id)
	for _, c := range []struct {
		name, method, target, body string
		change                     func(*http.Request)
		want                       int
	}{
		{"the page itself", "GET", "/", "", nil, 200},
		{"a track by number", "GET", fmt.Sprintf("/track/%d", id), "", nil, 200},
		{"localhost", "GET", "/", "", func(r *http.Request) { r.Host = "localhost:4321" }, 200},
		{"a foreign host (DNS rebinding)", "GET", "/", "", func(r *http.Request) { r.Host = "rebound.example:4321" }, 421},
		{"a host that begins well", "GET", "/", "", func(r *http.Request) { r.Host = "127.0.0.1.evil.example" }, 421},
		{"no host", "GET", "/", "", func(r *http.Request) { r.Host = "" }, 421},
		{"an address of the network", "GET", "/", "", func(r *http.Request) { r.Host = "192.168.1.20:4321" }, 421},
		{"path traversal in assets", "GET", "/assets/../server.go", "", nil, 307}, // the mux cleans the path
		{"escaped traversal in assets", "GET", "/assets/..%2f..%2fgo.mod", "", nil, 404},
		{"a template as an asset", "GET", "/assets/page.tmpl", "", nil, 404},
		{"traversal for audio", "GET", "/audio/..%2f..%2fetc%2fpasswd", "", nil, 404},
		{"a path for audio", "GET", "/audio//etc/passwd", "", nil, 307},
		{"an absolute path for audio", "GET", "/audio/%2fetc%2fpasswd", "", nil, 404},
		{"a number that is not there", "GET", "/audio/999999", "", nil, 404},
		{"a negative number", "GET", "/track/-1", "", nil, 404},
		{"a number too large", "GET", "/track/99999999999999999999", "", nil, 404},
		{"a file of no export", "GET", "/export/..%2fsecret", "", nil, 404},
		{"a cross-site mark", "POST", "/marks", mark, header("Sec-Fetch-Site", "cross-site"), 403},
		{"a mark from another port", "POST", "/marks", mark, header("Sec-Fetch-Site", "same-site"), 403},
		{"a mark with a foreign origin", "POST", "/marks", mark, header("Origin", "http://evil.example"), 403},
		{"a mark with a null origin", "POST", "/marks", mark, header("Origin", "null"), 403},
		{"audio embedded elsewhere", "GET", fmt.Sprintf("/audio/%d", id), "", header("Sec-Fetch-Site", "cross-site"), 403},
		{"export fetched elsewhere", "GET", "/export/tracks.jsonl", "", header("Origin", "http://evil.example"), 403},
		{"a mark by GET", "GET", "/marks", "", nil, 405},
		{"an unknown mark", "POST", "/marks", fmt.Sprintf("id=%d&mark=deleted", id), nil, 400},
		{"a mark of no number", "POST", "/marks", "id=../../x&mark=released", nil, 400},
		{"a mark of a track that is not there", "POST", "/marks", "id=987654&mark=released", nil, 404},
		{"too many tracks", "POST", "/marks", "mark=released" + strings.Repeat("&id=1", maxMarked+1), nil, 400},
		{"a huge body", "POST", "/marks", mark + "&x=" + strings.Repeat("a", 1<<20), nil, 413},
		{"undo of nothing", "POST", "/undo", "", nil, 400},
		{"a mark from the page", "POST", "/marks", mark, header("Sec-Fetch-Site", "same-origin"), 303},
	} {
		w := ask(s, c.method, c.target, c.body, c.change)
		if w.Code != c.want {
			t.Errorf("%s: %d, want %d (%.100s)", c.name, w.Code, c.want, w.Body)
		}
		policy := w.Header().Get("Content-Security-Policy")
		if !strings.Contains(policy, "default-src 'none'") || strings.Contains(policy, "unsafe") || w.Header().Get("X-Content-Type-Options") != "nosniff" {
			t.Errorf("%s: headers %v", c.name, w.Header())
		}
		if strings.Contains(w.Body.String(), "root:") || strings.Contains(w.Body.String(), "module dubgauge") {
			t.Errorf("%s: gives away a file", c.name)
		}
	}
	if named(t, db, "Dubs/night bus edit.wav").Marks.Status != library.Released {
		t.Error("the one honest mark is not there")
	}
}

func TestAScriptInANameDoesNotRun(t *testing.T) {
	db, _ := bagged(t)
	base := served(t, db, Options{})
	ctx := browser.Tab(t) // fails on any console message and any request elsewhere
	visit(t, ctx, base)
	evil := named(t, db, scriptName)
	browser.Do(t, ctx, browser.Navigate(fmt.Sprintf("%s/#t%d", base, evil.ID)), browser.Navigate(fmt.Sprintf("%s/track/%d", base, evil.ID)))
	browser.Until(t, ctx, fmt.Sprintf(`location.pathname === "/track/%d" && document.readyState === "complete"`, evil.ID))
	if n := browser.Eval[int](t, ctx, `document.images.length`); n != 0 {
		t.Errorf("%d images come from a file name", n)
	}
	if got := browser.Eval[string](t, ctx, `document.querySelector('h1').textContent`); got != words.Name(&evil) {
		t.Errorf("the heading reads %q", got)
	}
}

func TestHugeRequestsAreCutOff(t *testing.T) {
	db, _ := scanned(t, bag()[:1])
	base := served(t, db, Options{})
	r, _ := http.NewRequest("GET", base, nil)
	r.Header.Set("X-Large", strings.Repeat("a", 1<<20))
	if answer, err := http.DefaultClient.Do(r); err == nil {
		answer.Body.Close()
		if answer.StatusCode != http.StatusRequestHeaderFieldsTooLarge {
			t.Errorf("a header of 1 MB gets %d", answer.StatusCode)
		}
	}
	http.DefaultClient.CloseIdleConnections()
}

func TestOnlyLoopbackIsServed(t *testing.T) {
	l, err := net.Listen("tcp", "0.0.0.0:0")
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	if err := New(nil, Options{}).Serve(context.Background(), l); err == nil || !strings.Contains(err.Error(), "loopback") {
		t.Errorf("serving to the network gives %v", err)
	}
	busy, err := Listen(context.Background(), 0)
	if err != nil {
		t.Fatal(err)
	}
	defer busy.Close()
	if !busy.Addr().(*net.TCPAddr).IP.IsLoopback() {
		t.Errorf("listens on %s", busy.Addr())
	}
	if _, err := Listen(context.Background(), busy.Addr().(*net.TCPAddr).Port); err == nil || !strings.Contains(err.Error(), "choose another") {
		t.Errorf("a port in use gives %v", err)
	}
}

// heapAllowed is what 200 waiting requests and maxHeld segments may take together, in
// bytes; the segments themselves would take 200 x 2 MB.
const heapAllowed = 64 << 20

func TestTwoHundredSegmentsAtOnce(t *testing.T) {
	db, _ := scanned(t, bag()[:1])
	id := named(t, db, "Dubs/night bus edit.wav").ID
	runtime.GC()
	goroutines := runtime.NumGoroutine()
	base, stop := serving(t, db, Options{})
	client := &http.Client{Transport: &http.Transport{MaxIdleConnsPerHost: 200}}
	var most uint64
	watched, ended := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(ended)
		var m runtime.MemStats
		for {
			select {
			case <-watched:
				return
			case <-time.After(5 * time.Millisecond):
				runtime.ReadMemStats(&m)
				most = max(most, m.HeapAlloc)
			}
		}
	}()
	var wg sync.WaitGroup
	for i := range 200 {
		wg.Go(func() {
			answer, err := fetch(t, client, fmt.Sprintf("%s/audio/%d", base, id))
			if err != nil {
				t.Error(err)
				return
			}
			defer answer.Body.Close()
			if i%4 == 3 { // one in four goes away in the middle
				_, _ = io.CopyN(io.Discard, answer.Body, 1000)
				return
			}
			if n, err := io.Copy(io.Discard, answer.Body); err != nil || n != answer.ContentLength {
				t.Errorf("request %d: %d of %d bytes, %v", i, n, answer.ContentLength, err)
			}
		})
	}
	wg.Wait()
	close(watched)
	<-ended
	client.CloseIdleConnections()
	stop()
	if most > heapAllowed {
		t.Errorf("the heap grew to %d MB", most>>20)
	}
	for range 100 {
		if runtime.NumGoroutine() <= goroutines {
			return
		}
		time.Sleep(20 * time.Millisecond)
	}
	b := make([]byte, 1<<16)
	t.Errorf("%d goroutines before, %d after:\n%s", goroutines, runtime.NumGoroutine(), b[:runtime.Stack(b, true)])
}

// What goes wrong is said on a page that looks like the others and leads back, to a browser; to a
// script, in plain words.
func TestErrorPages(t *testing.T) {
	db, _ := scanned(t, bag()[:1])
	s := New(db, Options{})
	for _, target := range []string{"/track/999", "/nothing", "/export/x", "/audio/999", "/assets/none.css"} {
		w := ask(s, "GET", target, "", header("Accept", "text/html,application/xhtml+xml"))
		body := w.Body.String()
		if w.Code != 404 || !strings.Contains(body, `<a href="/">Back to all tracks</a>`) || !strings.Contains(body, "/assets/page.css") || !strings.Contains(body, "go back to the list.") {
			t.Errorf("%s: %d %s", target, w.Code, body)
		}
		if w := ask(s, "GET", target, "", nil); w.Code != 404 || strings.Contains(w.Body.String(), "<") {
			t.Errorf("%s for a script: %d %s", target, w.Code, w.Body)
		}
	}
}

// A form that stops arriving is answered with 408, not with what is wrong with the form.
func TestSlowForms(t *testing.T) {
	s := New(recorded(t, "a.wav"), Options{})
	for _, target := range []string{"/marks", "/undo"} {
		r := httptest.NewRequest("POST", "http://127.0.0.1"+target, io.MultiReader(strings.NewReader("id=1&ma"), stalled{}))
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		r.AddCookie(s.lock.asCookie())
		w := httptest.NewRecorder()
		s.ServeHTTP(w, r)
		if w.Code != http.StatusRequestTimeout {
			t.Errorf("%s: %d %s", target, w.Code, w.Body)
		}
	}
}

// stalled is a body that does not arrive.
type stalled struct{}

func (stalled) Read([]byte) (int, error) {
	return 0, fmt.Errorf("read tcp: %w", os.ErrDeadlineExceeded)
}

// A track that cannot be read has marks and no listening panel.
func TestUnreadableTracksAreNotPlayed(t *testing.T) {
	db, path := scanned(t, bag()[:1])
	dir := filepath.Join(filepath.Dir(path), "bag")
	if err := os.WriteFile(filepath.Join(dir, "torn.wav"), []byte("RIFF\x00\x00\x00\x00WAVE"), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := library.Scan(t.Context(), db, []string{dir}, library.ScanOptions{}); err != nil {
		t.Fatal(err)
	}
	s := New(db, Options{})
	for name, plays := range map[string]bool{"torn.wav": false, "Dubs/night bus edit.wav": true} {
		w := ask(s, "GET", fmt.Sprintf("/track/%d", named(t, db, name).ID), "", nil)
		if got := strings.Contains(w.Body.String(), `class="listen `); w.Code != 200 || got != plays || !strings.Contains(w.Body.String(), `class="marks"`) {
			t.Errorf("%s: %d, listening %v", name, w.Code, got)
		}
	}
}

// Readers who ask and never read, as many as there are places, keep nobody from listening
// for longer than they may stall.
func TestReadersWhoNeverRead(t *testing.T) {
	defer func(d time.Duration) { stallTime = d }(stallTime)
	stallTime = 500 * time.Millisecond
	long := sound{path: "Dubs/long edit.wav", rate: 96000, seconds: 20}
	db, _ := scanned(t, []sound{long})
	base, stop := serving(t, db, Options{})
	defer stop()
	path, lock := fmt.Sprintf("/audio/%d", named(t, db, long.path).ID), serverAt(t, base).lock
	for range maxHeld + maxSegments {
		c, err := net.Dial("tcp", strings.TrimPrefix(base, "http://"))
		if err != nil {
			t.Fatal(err)
		}
		defer c.Close()
		_ = c.(*net.TCPConn).SetReadBuffer(4 << 10)
		fmt.Fprintf(c, "GET %s HTTP/1.1\r\nHost: %s\r\nCookie: %s=%s\r\n\r\n", path, strings.TrimPrefix(base, "http://"), lock.cookie, lock.key)
	}
	time.Sleep(100 * time.Millisecond)
	start := time.Now()
	answer, err := fetch(t, http.DefaultClient, base+path)
	if err != nil {
		t.Fatal(err)
	}
	defer answer.Body.Close()
	if n, err := io.Copy(io.Discard, answer.Body); err != nil || answer.StatusCode != 200 || n != answer.ContentLength || n < 1<<20 {
		t.Errorf("%d of %d bytes: %v", n, answer.ContentLength, err)
	}
	if d := time.Since(start); d > 30*time.Second {
		t.Errorf("waited %v", d)
	}
	http.DefaultClient.CloseIdleConnections()
}

// A pipe that took the place of a track is refused, at once.
func TestPipeInPlaceOfATrack(t *testing.T) {
	db, _ := scanned(t, bag()[:1])
	x := named(t, db, "Dubs/night bus edit.wav")
	if err := os.Remove(x.DiskPath()); err != nil {
		t.Fatal(err)
	}
	if err := pipe(x.DiskPath()); err != nil {
		t.Skip("no pipes here: " + err.Error())
	}
	s := New(db, Options{})
	done := make(chan *httptest.ResponseRecorder, 1)
	go func() { done <- ask(s, "GET", fmt.Sprintf("/audio/%d", x.ID), "", nil) }()
	select {
	case w := <-done:
		if w.Code != 500 || !strings.Contains(w.Body.String(), "not a regular file") {
			t.Errorf("%d %s", w.Code, w.Body)
		}
	case <-time.After(20 * time.Second):
		t.Fatal("a pipe is waited for")
	}
}

func TestServingEndsWhileASegmentIsSent(t *testing.T) {
	long := sound{path: "Dubs/long edit.wav", rate: 48000, seconds: 35}
	db, _ := scanned(t, []sound{long})
	base, stop := serving(t, db, Options{})
	answer, err := fetch(t, http.DefaultClient, fmt.Sprintf("%s/audio/%d", base, named(t, db, long.path).ID))
	if err != nil {
		t.Fatal(err)
	}
	defer answer.Body.Close()
	_, _ = io.CopyN(io.Discard, answer.Body, 100)
	start := time.Now()
	stop()
	if d := time.Since(start); d > shutdownTime+30*time.Second {
		t.Errorf("serving took %v to end", d)
	}
	http.DefaultClient.CloseIdleConnections()
}

func TestMusicIsOnlyRead(t *testing.T) {
	db, _ := scanned(t, bag()[:2])
	x := named(t, db, "Dubs/night bus edit.wav")
	before, err := os.Stat(x.DiskPath())
	if err != nil {
		t.Fatal(err)
	}
	s := New(db, Options{})
	if w := ask(s, "GET", fmt.Sprintf("/audio/%d", x.ID), "", nil); w.Code != 200 {
		t.Fatalf("audio: %d %s", w.Code, w.Body)
	}
	after, err := os.Stat(x.DiskPath())
	if err != nil || after.ModTime() != before.ModTime() || after.Size() != before.Size() {
		t.Errorf("the file changed: %v, %v", after, err)
	}
	if err := os.Remove(x.DiskPath()); err != nil {
		t.Fatal(err)
	}
	if w := ask(s, "GET", fmt.Sprintf("/audio/%d", x.ID), "", nil); w.Code != 500 || !strings.Contains(w.Body.String(), "no such file") {
		t.Errorf("a file that is gone: %d %s", w.Code, w.Body)
	}
}
