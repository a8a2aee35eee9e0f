package live

import (
	"dubgauge/export/browser"
	"fmt"
	"net/http"
	"strings"
	"testing"
)

// Without the key nothing is served, whatever is asked for; with it a cookie is set that scripts
// cannot read and other sites cannot send, and the key is seen in no answer.
func TestNothingWithoutTheKey(t *testing.T) {
	db, _ := scanned(t, bag()[:1])
	s := New(db, Options{})
	id := named(t, db, "Dubs/night bus edit.wav").ID
	bare := http.HandlerFunc(s.ServeHTTP) // ask adds no cookie to it
	for _, target := range []string{"/", fmt.Sprintf("/track/%d", id), fmt.Sprintf("/audio/%d", id), "/assets/page.css", "/favicon.ico",
		"/export/trims.csv", "/export/tracks.jsonl", "/nothing"} {
		for name, change := range map[string]func(*http.Request){
			"no cookie":          nil,
			"a wrong key":        func(r *http.Request) { r.URL.RawQuery = "key=" + strings.Repeat("0", 2*keyBytes) },
			"an empty key":       func(r *http.Request) { r.URL.RawQuery = "key=" },
			"another cookie":     func(r *http.Request) { r.AddCookie(&http.Cookie{Name: "dubgauge", Value: s.lock.key}) },
			"a cookie cut short": func(r *http.Request) { r.AddCookie(&http.Cookie{Name: s.lock.cookie, Value: s.lock.key[:10]}) },
		} {
			if w := ask(bare, "GET", target, "", change); w.Code != http.StatusForbidden || strings.Contains(w.Body.String(), "night bus") {
				t.Errorf("%s, %s: %d %.80s", target, name, w.Code, w.Body)
			}
		}
	}
	for _, target := range []string{"/marks", "/undo"} {
		if w := ask(bare, "POST", target, fmt.Sprintf("id=%d&mark=released", id), nil); w.Code != http.StatusForbidden {
			t.Errorf("%s without a key: %d", target, w.Code)
		}
	}
	withKey := func(r *http.Request) { r.URL.RawQuery = "key=" + s.lock.key }
	if w := ask(bare, "GET", "/assets/page.css", "", withKey); w.Code != http.StatusForbidden {
		t.Errorf("the key serves beside the page: %d", w.Code)
	}
	w := ask(bare, "GET", "/", "", withKey)
	cookies := w.Result().Cookies()
	if w.Code != 200 || len(cookies) != 1 || strings.Contains(w.Body.String(), s.lock.key) || strings.Contains(w.Body.String(), "night bus") {
		t.Fatalf("%d, %d cookies, %s", w.Code, len(cookies), w.Body)
	}
	if c := cookies[0]; !c.HttpOnly || c.SameSite != http.SameSiteStrictMode || c.Path != "/" || !c.Expires.IsZero() || c.MaxAge != 0 {
		t.Errorf("cookie %+v", c)
	}
	if w := ask(bare, "GET", "/", "", func(r *http.Request) { r.AddCookie(cookies[0]) }); w.Code != 200 || !strings.Contains(w.Body.String(), "night bus") {
		t.Errorf("with the cookie: %d", w.Code)
	}
}

// Each run has a key of its own, and a cookie of its own name.
func TestKeysDiffer(t *testing.T) {
	a, b := newLock(), newLock()
	if a.key == b.key || a.cookie == b.cookie || len(a.key) != 2*keyBytes {
		t.Errorf("%s %s, %s %s", a.key, a.cookie, b.key, b.cookie)
	}
	if got := (&Server{lock: a}).Address("127.0.0.1:80"); got != "http://127.0.0.1:80/?key="+a.key {
		t.Errorf("address %s", got)
	}
}

// A key that serves once does so once, and not for long.
func TestPasses(t *testing.T) {
	db, _ := scanned(t, bag()[:1])
	s := New(db, Options{})
	try := func() int {
		address := s.AddressOnce("127.0.0.1:80")
		key, ok := strings.CutPrefix(address, "http://127.0.0.1:80/?key=")
		if !ok || key == s.lock.key {
			t.Fatalf("address %s", address)
		}
		with := func(r *http.Request) { r.URL.RawQuery = "key=" + key }
		first := ask(http.HandlerFunc(s.ServeHTTP), "GET", "/", "", with)
		if again := ask(http.HandlerFunc(s.ServeHTTP), "GET", "/", "", with); again.Code != http.StatusForbidden {
			t.Errorf("the second time: %d", again.Code)
		}
		if c := first.Result().Cookies(); first.Code == 200 && (len(c) != 1 || c[0].Value != s.lock.key) {
			t.Errorf("cookies %v", c)
		}
		return first.Code
	}
	if code := try(); code != 200 {
		t.Errorf("the first time: %d", code)
	}
	late := s.lock.pass()
	s.lock.passes[late] = s.lock.passes[late].Add(-passTime)
	if s.lock.takes(late) {
		t.Error("a key serves for ever")
	}
}

// In a browser the address leads on to the page by itself, and the key is gone from it.
func TestTheAddressLeadsOn(t *testing.T) {
	db, _ := scanned(t, bag()[:1])
	base := served(t, db, Options{})
	ctx := browser.Tab(t)
	browser.Do(t, ctx, browser.Navigate(serverAt(t, base).Address(strings.TrimPrefix(base, "http://"))))
	browser.Until(t, ctx, `location.href === "`+base+`/" && document.querySelector("h1")`)
}
