package live

import (
	"crypto/rand"
	"crypto/sha256"
	"crypto/subtle"
	"encoding/hex"
	"io"
	"net/http"
	"sync"
	"time"
)

// lock keeps everybody out but the browsers that were shown the key: a machine may have
// other users, and a loopback address is open to all of them. The key is made anew for each
// run. It stands in the address once; from then on a cookie has it.
type lock struct {
	key, cookie string

	mu     sync.Mutex
	passes map[string]time.Time // keys that serve once, until then
}

// passTime is how long a browser has to start.
const passTime = time.Minute

// keyBytes are more than anybody can try.
const keyBytes = 24

func newKey() string {
	b := make([]byte, keyBytes)
	_, _ = rand.Read(b) // never fails: it ends the program first
	return hex.EncodeToString(b)
}

func newLock() *lock {
	l := &lock{key: newKey(), passes: map[string]time.Time{}}
	// Cookies know no ports: each run has a name of its own.
	sum := sha256.Sum256([]byte(l.key))
	l.cookie = "dubgauge-" + hex.EncodeToString(sum[:4])
	return l
}

// pass is a key that serves once and soon: other users of the machine see what a browser is
// called with.
func (l *lock) pass() string {
	l.mu.Lock()
	defer l.mu.Unlock()
	k := newKey()
	l.passes[k] = time.Now().Add(passTime)
	return k
}

// takes tells that a key lets in; one that serves once has done so then.
func (l *lock) takes(given string) bool {
	if l.is(given) {
		return true
	}
	l.mu.Lock()
	defer l.mu.Unlock()
	until, ok := l.passes[given]
	delete(l.passes, given)
	return ok && time.Now().Before(until)
}

// keyField is the part of the address that has the key.
const keyField = "key"

// enterPage leads on to the page from itself: a redirect of a navigation that began elsewhere
// would come without the cookie, which is for the same site only.
const enterPage = `<!doctype html><html lang="en"><head><meta charset="utf-8"><title>dubgauge</title><meta http-equiv="refresh" content="0;url=/"></head>` +
	`<body><p><a href="/">Open the page</a></p></body></html>`

// opens lets in who has the key.
func (l *lock) opens(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if given := r.URL.Query().Get(keyField); given != "" && r.URL.Path == "/" && r.Method == http.MethodGet && l.takes(given) {
			http.SetCookie(w, l.asCookie())
			w.Header().Set("Content-Type", "text/html; charset=utf-8")
			_, _ = io.WriteString(w, enterPage) // nobody is left to tell
			return
		}
		if c, err := r.Cookie(l.cookie); err != nil || !l.is(c.Value) {
			http.Error(w, "this page is for whoever started dubgauge: open the address that it printed", http.StatusForbidden)
			return
		}
		next.ServeHTTP(w, r)
	})
}

func (l *lock) is(given string) bool {
	return subtle.ConstantTimeCompare([]byte(given), []byte(l.key)) == 1
}

func (l *lock) asCookie() *http.Cookie {
	return &http.Cookie{Name: l.cookie, Value: l.key, Path: "/", HttpOnly: true, SameSite: http.SameSiteStrictMode}
}
