package live

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"net/http"
	"runtime"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"dubgauge/export/page"
)

const (
	// sheetTracks are in the library of which 40 sheets are asked for.
	sheetTracks = 1600
	// sheetsAllowed is what these may take on the heap, in bytes: one at a time takes some 45 MB,
	// all at once 900 MB.
	sheetsAllowed = 100 << 20
)

// Sheets are made one at a time and once for all who ask, until the library is another.
func TestManySheetsAtOnce(t *testing.T) {
	if testing.Short() {
		t.Skip("forty sheets of many tracks are made without -short")
	}
	s := New(crate(t, sheetTracks), Options{})
	get(s, "/export/trims.csv") // the library is read
	runtime.GC()
	var before, m runtime.MemStats
	runtime.ReadMemStats(&before)
	var most uint64
	watched, ended := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(ended)
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
	var all sync.WaitGroup
	var size atomic.Int64
	for range 40 {
		all.Go(func() {
			w := &counted{header: http.Header{}}
			r, _ := http.NewRequest("GET", "http://127.0.0.1/export/sheet.html", nil)
			r.AddCookie(s.lock.asCookie())
			s.ServeHTTP(w, r)
			size.CompareAndSwap(0, w.n)
			if w.n < 1<<20 || w.n != size.Load() {
				t.Errorf("%d bytes, another had %d", w.n, size.Load())
			}
		})
	}
	all.Wait()
	close(watched)
	<-ended
	t.Logf("forty sheets of %d MB took %d MB", size.Load()>>20, (most-before.HeapAlloc)>>20)
	if most > before.HeapAlloc+sheetsAllowed {
		t.Errorf("forty sheets took %d MB", (most-before.HeapAlloc)>>20)
	}
}

// counted is a reader that keeps nothing.
type counted struct {
	header http.Header
	n      int64
}

func (c *counted) Header() http.Header { return c.header }
func (c *counted) WriteHeader(int)     {}
func (c *counted) Flush()              {}
func (c *counted) Write(b []byte) (int, error) {
	c.n += int64(len(b))
	return len(b), nil
}

// A sheet is made once, and again for another library, filter or name; one that fails is not
// kept, and who goes away waits no longer.
func TestSheetsAreKept(t *testing.T) {
	s := sheets{making: make(chan struct{}, 1)}
	made := 0
	ask := func(of sheetOf, text string) string {
		t.Helper()
		b, err := s.get(t.Context(), of, func(b *bytes.Buffer) error { made++; b.WriteString(text); return nil })
		if err != nil {
			t.Fatal(err)
		}
		return string(b)
	}
	a := sheetOf{"trims.csv", page.Filter{}, 1}
	for i, c := range []struct {
		of         sheetOf
		text, want string
		made       int
	}{
		{a, "one", "one", 1}, {a, "two", "one", 1}, {sheetOf{"tracks.csv", page.Filter{}, 1}, "three", "three", 2}, {a, "four", "one", 2},
		{sheetOf{"trims.csv", page.Filter{Status: "released"}, 1}, "five", "five", 3}, {sheetOf{"trims.csv", page.Filter{}, 2}, "six", "six", 4},
		{a, "seven", "seven", 5}, // that of the older library is gone
	} {
		if got := ask(c.of, c.text); got != c.want || made != c.made {
			t.Errorf("%d: %q after %d were made, want %q, %d", i, got, made, c.want, c.made)
		}
	}
	for i := range 3 * keptSheets {
		ask(sheetOf{fmt.Sprint(i), page.Filter{}, 1}, "x")
	}
	if len(s.made) != keptSheets {
		t.Errorf("%d are kept", len(s.made))
	}
	ask(sheetOf{"large", page.Filter{}, 1}, strings.Repeat("x", keptBytes))
	if len(s.made) != 1 || s.made[0].of.name != "large" {
		t.Errorf("beside a large one %d are kept", len(s.made)-1)
	}
	bad := errors.New("the disk is gone")
	b := sheetOf{"bad", page.Filter{}, 1}
	if _, err := s.get(t.Context(), b, func(*bytes.Buffer) error { return bad }); !errors.Is(err, bad) || s.find(b) != nil {
		t.Errorf("one that fails: %v", err)
	}
	s.making <- struct{}{} // somebody else makes one
	gone, cancel := context.WithCancel(t.Context())
	cancel()
	if _, err := s.get(gone, b, nil); !errors.Is(err, context.Canceled) {
		t.Errorf("one who went away: %v", err)
	}
}

// Exports hold what the filter keeps, in its order, and say of how many in their name or head.
func TestExportsFollowTheFilter(t *testing.T) {
	db := spoilt(t)
	s := New(db, Options{})
	post(s, "/marks", marking("ignore", 1))
	for target, c := range map[string]struct {
		name  string
		lines int
	}{
		"/export/trims.csv":                          {"dubgauge-trims.csv", 17}, // 16 and a heading
		"/export/trims.csv?sort=name":                {"dubgauge-trims.csv", 17},
		"/export/trims.csv?q=track+001":              {"dubgauge-trims-8-of-16.csv", 9},
		"/export/tracks.csv?q=track+001":             {"dubgauge-tracks-8-of-16.csv", 9},
		"/export/tracks.jsonl?q=track+001":           {"dubgauge-tracks-8-of-16.jsonl", 8},
		"/export/trims.csv?folder=nowhere":           {"dubgauge-trims-0-of-16.csv", 1},
		"/export/trims.csv?q=track+001&folder=Crate": {"dubgauge-trims-0-of-16.csv", 1},
	} {
		path, query, _ := strings.Cut(target, "?")
		w := ask(s, "GET", path, "", func(r *http.Request) { r.URL.RawQuery = query })
		if got := w.Header().Get("Content-Disposition"); !strings.Contains(got, `"`+c.name+`"`) {
			t.Errorf("%s is called %s", target, got)
		}
		if n := strings.Count(w.Body.String(), "\n"); n != c.lines {
			t.Errorf("%s has %d lines, want %d", target, n, c.lines)
		}
	}
	if first := strings.SplitN(get(s, "/export/trims.csv?sort=quiet"), "\n", 3)[1]; !strings.Contains(first, "track 0010") { // 5 dB quieter than it was made
		t.Errorf("the quietest first is %s", first)
	}
	if html := get(s, "/export/sheet.html?q=track+001"); !strings.Contains(html, "8 of 16 tracks: with “track 001”") || strings.Count(html, `<li class="row`) != 8 {
		t.Error("the page to take along does not follow the filter")
	}
}
