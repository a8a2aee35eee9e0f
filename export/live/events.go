package live

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"strconv"
	"sync"
	"time"

	"dubgauge/library"
)

const (
	// maxListeners is how many windows hear of changes at once; a browser shows a few.
	maxListeners = 32
	// eventPause is the least time between two events of a window: a progress that moves four
	// times a second looks smooth.
	eventPause = 250 * time.Millisecond
	// retryAfter is how long a browser waits before it connects again, in ms.
	retryAfter = 2000
)

// heartbeat is how often a window hears that the program lives: less than the half minute or so
// after which what lies between may drop a silent connection.
var heartbeat = 15 * time.Second // shorter in a test

var errManyWindows = errors.New("too many windows are open: close one")

// news tells windows that there is something new. Nothing is queued: who listens asks what is so
// now. Its zero value is ready.
type news struct {
	mu        sync.Mutex
	changed   chan struct{} // closed at the next news
	listeners int
	state     library.State // of the library, as it was last asked for
	moves     int64         // how many states there were
}

// next is closed once there is news.
func (n *news) next() <-chan struct{} {
	n.mu.Lock()
	defer n.mu.Unlock()
	if n.changed == nil {
		n.changed = make(chan struct{})
	}
	return n.changed
}

func (n *news) tell() {
	n.mu.Lock()
	defer n.mu.Unlock()
	if n.changed != nil {
		close(n.changed)
		n.changed = nil
	}
}

// move notes the state of the library and tells whether it is a new one.
func (n *news) move(s library.State) bool {
	n.mu.Lock()
	defer n.mu.Unlock()
	if n.moves > 0 && s == n.state {
		return false
	}
	n.state, n.moves = s, n.moves+1
	return true
}

// at is the number of the library's state in this run, as text; empty before the library was asked.
func (n *news) at() string {
	n.mu.Lock()
	defer n.mu.Unlock()
	if n.moves == 0 {
		return ""
	}
	return strconv.FormatInt(n.moves, 10)
}

func (n *news) enter() bool {
	n.mu.Lock()
	defer n.mu.Unlock()
	if n.listeners >= maxListeners {
		return false
	}
	n.listeners++
	return true
}

func (n *news) leave() {
	n.mu.Lock()
	defer n.mu.Unlock()
	n.listeners--
}

func (s *Server) tell() { s.news.tell() }

// events streams what goes on to a window (HTML Living Standard, 9.2 Server-sent events): "window"
// with a page.Window, "library" where it is no longer in the state that the window knows, whose
// number is the event's ID, and "end" when the program ends.
func (s *Server) events(w http.ResponseWriter, r *http.Request) {
	if !s.news.enter() {
		w.Header().Set("Retry-After", "10")
		refuse(w, r, http.StatusServiceUnavailable, errManyWindows.Error())
		return
	}
	defer s.news.leave()
	l := listener{w: w, rc: http.NewResponseController(w), known: r.Header.Get("Last-Event-ID")}
	if l.known == "" {
		l.known = r.URL.Query().Get("since")
	}
	w.Header().Set("Content-Type", "text/event-stream")
	if l.send(fmt.Sprintf("retry: %d\n\n", retryAfter)) != nil {
		return
	}
	for ctx := r.Context(); l.sendNews(s) == nil; {
		if waitForNews(ctx, l.next) {
			_ = l.send("event: end\ndata: end\n\n") // where it is the window that left, nobody hears it
			return
		}
	}
}

// waitForNews waits for news, or for a moment in which to show life; it tells that ctx ended.
func waitForNews(ctx context.Context, next <-chan struct{}) (ended bool) {
	life := time.NewTimer(heartbeat)
	defer life.Stop()
	pause := time.NewTimer(eventPause)
	defer pause.Stop()
	select {
	case <-ctx.Done():
		return true
	case <-pause.C:
	}
	select {
	case <-ctx.Done():
		return true
	case <-next:
	case <-life.C:
	}
	return false
}

// listener is one window that listens.
type listener struct {
	w     http.ResponseWriter
	rc    *http.ResponseController
	next  <-chan struct{} // closed when there is more than was sent
	known string          // the state of the library that the window knows
	shown []byte          // what goes on, as it was last sent
}

// sendNews sends what the window does not know yet; a sign of life where there is nothing.
func (l *listener) sendNews(s *Server) error {
	l.next = s.news.next() // before looking, so that nothing is missed
	var b bytes.Buffer
	now, err := json.Marshal(s.window())
	if err != nil {
		return err
	}
	if !bytes.Equal(now, l.shown) {
		l.shown = now
		fmt.Fprintf(&b, "event: window\ndata: %s\n\n", now)
	}
	if at := s.news.at(); at != "" && at != l.known {
		l.known = at
		fmt.Fprintf(&b, "event: library\nid: %[1]s\ndata: %[1]s\n\n", at)
	}
	if b.Len() == 0 {
		b.WriteString(": here\n\n")
	}
	return l.send(b.String())
}

// send writes a piece at once. A window that does not take it in time is left.
func (l *listener) send(text string) error {
	_ = l.rc.SetWriteDeadline(time.Now().Add(stallTime)) // what cannot set it has none
	if _, err := l.w.Write([]byte(text)); err != nil {
		return err
	}
	return l.rc.Flush()
}
