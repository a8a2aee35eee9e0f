package live

import (
	"bufio"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"runtime"
	"strings"
	"testing"
	"time"

	"dubgauge/export/page"
	"dubgauge/library"
)

// plain is a client that keeps no connection.
var plain = &http.Client{Transport: &http.Transport{DisableKeepAlives: true}}

// stream reads the events of a server.
type stream struct {
	t      *testing.T
	body   io.ReadCloser
	lines  *bufio.Scanner
	status int
}

// listenTo opens the stream of events of a server as a window does, which knows the state known.
func listenTo(t *testing.T, url, known string) *stream {
	t.Helper()
	r, err := http.NewRequestWithContext(t.Context(), "GET", url+"/events", nil)
	if err != nil {
		t.Fatal(err)
	}
	r.AddCookie(serverAt(t, url).lock.asCookie())
	if known != "" {
		r.Header.Set("Last-Event-ID", known)
	}
	answer, err := plain.Do(r)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { answer.Body.Close() })
	return &stream{t, answer.Body, bufio.NewScanner(answer.Body), answer.StatusCode}
}

// event reads up to the next event of that name, and gives its data and ID; signs of life are
// events named "here". ok is false at the end of the stream.
func (s *stream) event(name string) (data, id string, ok bool) {
	got := ""
	for s.lines.Scan() {
		field, value, _ := strings.Cut(s.lines.Text(), ": ")
		switch field {
		case "event":
			got = value
		case "data":
			data = value
		case "id":
			id = value
		case "":
			if value == "here" {
				got = "here"
				continue
			}
			if got == name {
				return data, id, true
			}
			got, data, id = "", "", ""
		}
	}
	return "", "", false
}

// until reads events "window" up to one that is as wanted.
func (s *stream) until(wanted func(page.Window) bool) page.Window {
	s.t.Helper()
	for {
		var w page.Window
		data, _, ok := s.event("window")
		if !ok {
			s.t.Fatal("the stream ended")
		}
		if err := json.Unmarshal([]byte(data), &w); err != nil {
			s.t.Fatalf("%s: %v", data, err)
		}
		if wanted(w) {
			return w
		}
	}
}

// heard serves a desk.
func heard(t *testing.T) (url string, d *desk, db *failing, stop func()) {
	t.Helper()
	db = recorded(t, "a.wav", "b.wav")
	d = newDesk(ScannerOf(db.DB))
	url, stop = serving(t, db, Options{Scanner: d, Media: func() ([]library.Medium, error) { return nil, nil }})
	return url, d, db, stop
}

// hasten makes pauses short until the test ends.
func hasten(t *testing.T) {
	states, beats := stateEvery, heartbeat
	stateEvery, heartbeat = 20*time.Millisecond, 300*time.Millisecond
	t.Cleanup(func() { stateEvery, heartbeat = states, beats })
}

// A window hears of a scan as it goes, of changes of the library whoever made them, and where it
// comes back with what it knew, of nothing that it knows.
func TestEvents(t *testing.T) {
	hasten(t)
	url, d, db, stop := heard(t)
	defer stop()
	s := listenTo(t, url, "")
	if s.status != 200 {
		t.Fatalf("status %d", s.status)
	}
	if w := s.until(func(page.Window) bool { return true }); w.State != "none" {
		t.Errorf("at first: %+v", w)
	}
	_, first, ok := s.event("library")
	if !ok || first == "" || first == "0" {
		t.Errorf("the library's state is %q", first)
	}
	if err := serverAt(t, url).Scan([]string{t.TempDir()}); err != nil {
		t.Fatal(err)
	}
	<-d.begun
	d.tell(library.Progress{Phase: library.Measuring, Done: 1, Total: 4})
	s.until(func(w page.Window) bool { return w.State == "runs" && w.Done == 1 && w.Total == 4 })
	d.end <- nil
	s.until(func(w page.Window) bool { return w.State == "done" })
	if _, _, ok := s.event("here"); !ok {
		t.Error("no sign of life")
	}
	// Another program's mark.
	other := openDB(t, db.Path())
	if _, err := other.SetMarks(context.Background(), []int64{named(t, db, "a.wav").ID}, func(m library.Marks) library.Marks { m.Reference = true; return m }); err != nil {
		t.Fatal(err)
	}
	_, second, ok := s.event("library")
	if !ok || second == first {
		t.Errorf("after a change: state %q, before %q", second, first)
	}
	again := listenTo(t, url, second)
	again.until(func(page.Window) bool { return true })
	if _, _, ok := again.event("here"); !ok {
		t.Error("who knows the state does not get a sign of life next")
	}
	late := listenTo(t, url, first)
	if _, id, ok := late.event("library"); !ok || id != second {
		t.Errorf("who missed a change hears of %q, want %q", id, second)
	}
	stop()
	if _, _, ok := s.event("end"); !ok {
		t.Error("the end is not told")
	}
}

// The list is read anew after a change, at once: what an event tells of is there to fetch.
func TestTheListFollowsAtOnce(t *testing.T) {
	hasten(t)
	url, _, db, stop := heard(t)
	defer stop()
	read := func() string {
		answer, err := fetch(t, http.DefaultClient, url+"/")
		if err != nil {
			t.Fatal(err)
		}
		defer answer.Body.Close()
		b, _ := io.ReadAll(answer.Body)
		return string(b)
	}
	s := listenTo(t, url, "")
	s.event("library")
	if strings.Contains(read(), "c.wav") {
		t.Fatal("it is there before it is")
	}
	if _, err := library.ImportRecords(t.Context(), db.DB, t.TempDir(), strings.NewReader(`{"path":"c.wav"}`+"\n")); err != nil {
		t.Fatal(err)
	}
	s.event("library")
	if !strings.Contains(read(), "c.wav") {
		t.Error("the list does not have what the event told of")
	}
	http.DefaultClient.CloseIdleConnections()
}

// Of a hundred windows no more are held than may be; the others are told so, the page still
// answers, one that goes makes room, and nothing is left at the end.
func TestAHundredListeners(t *testing.T) {
	hasten(t)
	runtime.GC()
	before := runtime.NumGoroutine() + 1 // the one of the database
	url, _, _, stop := heard(t)
	var held []*stream
	full := 0
	for range 100 {
		switch s := listenTo(t, url, ""); s.status {
		case 200:
			held = append(held, s)
		case 503:
			full++
			s.body.Close()
		default:
			t.Fatalf("status %d", s.status)
		}
	}
	if len(held) != maxListeners || full != 100-maxListeners {
		t.Errorf("%d held, %d sent away", len(held), full)
	}
	answer, err := fetch(t, http.DefaultClient, url+"/")
	if err != nil || answer.StatusCode != 200 {
		t.Fatalf("the page: %v", err)
	}
	answer.Body.Close()
	held[0].body.Close()
	room := false
	for range 100 {
		s := listenTo(t, url, "")
		held = append(held, s)
		if room = s.status == 200; room {
			break
		}
		time.Sleep(50 * time.Millisecond)
	}
	if !room {
		t.Error("a window that is closed makes no room")
	}
	stop()
	for _, s := range held {
		s.body.Close()
	}
	http.DefaultClient.CloseIdleConnections()
	for range 200 {
		if runtime.NumGoroutine() <= before {
			return
		}
		time.Sleep(20 * time.Millisecond)
	}
	b := make([]byte, 1<<16)
	t.Errorf("%d goroutines before, %d after:\n%s", before, runtime.NumGoroutine(), b[:runtime.Stack(b, true)])
}

// A window that never reads is left once it has not taken a piece for so long, though the server
// gives answers minutes.
func TestListenersThatDoNotRead(t *testing.T) {
	defer func(d time.Duration) { stallTime = d }(stallTime)
	stallTime = 300 * time.Millisecond
	took := make(chan time.Duration, 1)
	server := httptest.NewUnstartedServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		l, begun := listener{w: w, rc: http.NewResponseController(w)}, time.Now()
		for l.send(strings.Repeat("x", 1<<20)) == nil {
			begun = time.Now()
		}
		took <- time.Since(begun)
	}))
	server.Config.WriteTimeout = time.Hour
	server.Start()
	defer server.Close()
	c, err := net.Dial("tcp", server.Listener.Addr().String())
	if err != nil {
		t.Fatal(err)
	}
	defer c.Close()
	fmt.Fprint(c, "GET / HTTP/1.1\r\nHost: x\r\n\r\n")
	select {
	case d := <-took:
		if d < stallTime/2 {
			t.Errorf("it was left after %v", d)
		}
	case <-time.After(20 * time.Second):
		t.Fatal("it is held for ever")
	}
}

// A stream outlives the time in which an answer has to be sent.
func TestListenersStay(t *testing.T) {
	hasten(t)
	defer func(d time.Duration) { sendTime = d }(sendTime)
	sendTime = 2 * time.Second
	url, _, _, stop := heard(t)
	defer stop()
	s := listenTo(t, url, "")
	for begun := time.Now(); time.Since(begun) < 2*sendTime; {
		if _, _, ok := s.event("here"); !ok {
			t.Fatalf("the stream ended after %v", time.Since(begun))
		}
	}
}

// Everybody who waits hears of news, at once and once; who asks later waits for the next.
func TestNews(t *testing.T) {
	defer func(d time.Duration) { heartbeat = d }(heartbeat)
	heartbeat = 4 * eventPause
	var n news
	n.tell() // nobody waits
	a, b := n.next(), n.next()
	if a == nil || a != b {
		t.Fatal("who waits for the same news does not wait for the same")
	}
	select {
	case <-a:
		t.Fatal("news before there are any")
	default:
	}
	n.tell()
	<-a
	c := n.next()
	select {
	case <-c:
		t.Error("old news are told again")
	default:
	}
	ended, cancel := context.WithCancel(t.Context())
	cancel()
	if !waitForNews(ended, c) {
		t.Error("the end is waited through")
	}
	for name, ready := range map[string]bool{"news": true, "no news": false} {
		next := n.next()
		if ready {
			n.tell()
		}
		begun := time.Now()
		if waitForNews(t.Context(), next) {
			t.Errorf("%s: ended", name)
		}
		if took := time.Since(begun); took < eventPause || ready && took > eventPause+2*time.Second || !ready && took < 3*eventPause {
			t.Errorf("%s: waited %v", name, took)
		}
	}
	if at := n.at(); at != "" || !n.move(library.State{}) || n.move(library.State{}) || n.at() != "1" {
		t.Errorf("states %s, %s", at, n.at())
	}
}

// A stream outlives the time in which other answers have to be sent.
func TestListenersOutliveAnAnswer(t *testing.T) {
	const pieces = 6
	server := httptest.NewUnstartedServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		l := listener{w: w, rc: http.NewResponseController(w)}
		for range pieces {
			if err := l.send("x"); err != nil {
				t.Errorf("cut off: %v", err)
			}
			time.Sleep(100 * time.Millisecond)
		}
	}))
	server.Config.WriteTimeout = 200 * time.Millisecond
	server.Start()
	defer server.Close()
	answer, err := plain.Get(server.URL)
	if err != nil {
		t.Fatal(err)
	}
	defer answer.Body.Close()
	if b, err := io.ReadAll(answer.Body); len(b) != pieces {
		t.Errorf("%d of %d pieces came: %v", len(b), pieces, err)
	}
}

// Before the library was asked for its state there is none to tell a window of.
func TestNoStateBeforeTheLibraryIsAsked(t *testing.T) {
	s := new(Server)
	for _, moves := range []int{0, 1} {
		for range moves {
			s.news.move(library.State{})
		}
		w := httptest.NewRecorder()
		l := listener{w: w, rc: http.NewResponseController(w)}
		if err := l.sendNews(s); err != nil {
			t.Fatal(err)
		}
		if told := strings.Contains(w.Body.String(), "event: library\nid: 1\n"); told != (moves == 1) || strings.Contains(w.Body.String(), "id: 0") {
			t.Errorf("after %d states a window hears %q", moves, w.Body)
		}
	}
}
