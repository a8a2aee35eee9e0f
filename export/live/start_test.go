package live

import (
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"dubgauge/export/page"
	"dubgauge/library"
)

func TestLibraryPlaces(t *testing.T) {
	at := time.Date(2026, 11, 26, 3, 4, 0, 0, time.UTC)
	for _, c := range []struct {
		l    library.Root
		here bool
		want page.Place
	}{
		{library.Root{Root: "/media/GIG", Tracks: 40, Out: 6, Scanned: at}, true, page.Place{Name: "GIG", Dir: "/media/GIG", Said: "40 tracks, 6 not ready; scanned 26 November 2026, 03:04", Go: "Scan again"}},
		{library.Root{Root: "/media/GIG", Tracks: 1, Scanned: at}, false, page.Place{Name: "GIG", Dir: "/media/GIG", Said: "1 track, all ready; scanned 26 November 2026, 03:04; not plugged in"}},
		{library.Root{Root: "/media/GIG", Tracks: 3, Out: 3}, true, page.Place{Name: "GIG", Dir: "/media/GIG", Said: "3 tracks, 3 not ready; not scanned to its end yet", Go: "Go on"}},
		{library.Root{Root: "/", Scanned: at}, true, page.Place{Name: "/", Dir: "/", Said: "0 tracks; scanned 26 November 2026, 03:04", Go: "Scan again"}},
	} {
		if got := libraryPlace(c.l, c.here); got != c.want {
			t.Errorf("got  %+v\nwant %+v", got, c.want)
		}
	}
}

// Media and the folder for music are worth scanning, each with what a glance shows; what lies in a
// library is known already, and what cannot be taken out is not offered.
func TestWorthScanning(t *testing.T) {
	dir := t.TempDir()
	at := func(name string, tracks ...string) string {
		d := filepath.Join(dir, name)
		if err := os.MkdirAll(d, 0o755); err != nil {
			t.Fatal(err)
		}
		for _, f := range tracks {
			if err := os.WriteFile(filepath.Join(d, f), []byte("x"), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		return d
	}
	fresh, empty, music, library1 := at("FRESH", "a.wav", "b.flac"), at("EMPTY"), at("Music", "c.mp3"), at("KNOWN", "d.wav")
	db := recorded(t, "a.wav")
	d := newDesk(withRoots{ScannerOf(db.DB), []string{library1}})
	s := New(db, Options{Scanner: d, Music: music, Media: func() ([]library.Medium, error) {
		return []library.Medium{{Dir: "/"}, {Dir: fresh, Removable: true}, {Dir: empty, Removable: true}, {Dir: filepath.Join(library1, "deep"), Removable: true}, {Dir: fresh, Removable: true}}, nil
	}})
	t.Cleanup(s.scans.close)
	p, err := s.folders(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	want := []page.Place{{Name: "FRESH", Dir: fresh, Said: "2 tracks, by the names.", Go: "Scan"},
		{Name: "EMPTY", Dir: empty, Said: "No track was found in it.", Go: "Scan"}, {Name: "Music", Dir: music, Said: "1 track, by the names.", Go: "Scan"}}
	if len(p.Folders) != len(want) {
		t.Fatalf("folders %+v", p.Folders)
	}
	for i := range want {
		if p.Folders[i] != want[i] {
			t.Errorf("got  %+v\nwant %+v", p.Folders[i], want[i])
		}
	}
	if len(p.Libraries) != 1 || p.Libraries[0].Go != "Go on" || !p.HasTracks {
		t.Errorf("libraries %+v", p.Libraries)
	}
	// What was seen a moment ago is believed for a while.
	at("EMPTY", "e.wav")
	said := func() string {
		p, err := s.folders(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		return p.Folders[1].Said
	}
	if said() != "No track was found in it." {
		t.Errorf("it was looked through again: %q", said())
	}
	s.glances.taken = time.Now().Add(-glanceFor - time.Second)
	if said() != "1 track, by the names." {
		t.Errorf("it is not looked through again: %q", said())
	}
	// One that is being scanned says so, and has no button.
	if err := s.Scan([]string{library1}); err != nil {
		t.Fatal(err)
	}
	<-d.begun
	if p, err = s.folders(t.Context()); err != nil || p.Libraries[0].Said != "1 track so far; it is being scanned" || p.Libraries[0].Go != "" {
		t.Errorf("being scanned: %+v, %v", p.Libraries, err)
	}
}

// With tracks the list is there at once; without, the page of folders, until a scan begins.
func TestWhereOneBegins(t *testing.T) {
	db := recorded(t, "a.wav")
	id := named(t, db, "a.wav").ID
	d := newDesk(ScannerOf(db.DB))
	s := New(db, Options{Scanner: d})
	t.Cleanup(s.scans.close)
	if w := ask(s, "GET", "/", "", nil); w.Code != 200 || !strings.Contains(w.Body.String(), `id="window"`) || !strings.Contains(w.Body.String(), "a.wav") {
		t.Errorf("with a track: %d", w.Code)
	}
	if w := ask(s, "GET", "/start", "", nil); w.Code != 200 || !strings.Contains(w.Body.String(), "Which folder?") || !strings.Contains(w.Body.String(), `<a href="/">All tracks</a>`) {
		t.Errorf("the folders: %d %s", w.Code, w.Body)
	}
	if err := deleteTrack(db.Path(), id); err != nil {
		t.Fatal(err)
	}
	if w := ask(s, "GET", "/", "", nil); w.Code != 303 || w.Header().Get("Location") != "/start" {
		t.Errorf("without a track: %d to %q", w.Code, w.Header().Get("Location"))
	}
	if w := ask(s, "GET", "/start", "", nil); w.Code != 200 || strings.Contains(w.Body.String(), "All tracks") {
		t.Errorf("the folders lead to an empty list: %d", w.Code)
	}
	if err := s.Scan([]string{t.TempDir()}); err != nil {
		t.Fatal(err)
	}
	<-d.begun
	d.tell(library.Progress{Phase: library.Measuring, Done: 1, Total: 3})
	w := ask(s, "GET", "/", "", nil)
	for _, want := range []string{`<progress id="scan-bar" aria-label="Tracks done" aria-describedby="scan-figures" max="3" value="1">1 of 3</progress>`, `role="status">Scanning `, `action="/scan/stop"`, "reload this page"} {
		if !strings.Contains(w.Body.String(), want) {
			t.Errorf("while a scan runs, the list has no %s", want)
		}
	}
}

// The forms work without a script: they lead back to the list, or, for a note that is put away
// before any scan, to where they were.
func TestFormsWithoutAScript(t *testing.T) {
	s, d := scanning(t)
	s.watch.look(mounts("/"), nil, nil)
	s.watch.look(mounts("/", "/media/NEW"), nil, nil)
	if w := ask(s, "GET", "/start", "", nil); !strings.Contains(w.Body.String(), "NEW is plugged in, and was not scanned yet.") {
		t.Errorf("the stick is not noticed: %s", w.Body)
	}
	w := ask(s, "POST", "/scan/later", url.Values{"dir": {"/media/NEW"}}.Encode(), header("Referer", "http://127.0.0.1:4321/start"))
	if w.Code != 303 || w.Header().Get("Location") != "/start" || len(s.window().Notes) != 0 {
		t.Errorf("not now: %d to %q, notes %v", w.Code, w.Header().Get("Location"), s.window().Notes)
	}
	if w := ask(s, "POST", "/scan", url.Values{"dir": {t.TempDir()}}.Encode(), nil); w.Code != 303 || w.Header().Get("Location") != "/" {
		t.Errorf("a scan: %d to %q", w.Code, w.Header().Get("Location"))
	}
	<-d.begun
	if w := ask(s, "POST", "/scan", "dir=/tmp", header("Accept", "text/html")); w.Code != 409 || !strings.Contains(w.Body.String(), "A scan is running already: wait for its end, or stop it first.") || !strings.Contains(w.Body.String(), `<a href="/">`) {
		t.Errorf("a second: %d %s", w.Code, w.Body)
	}
	if w := ask(s, "POST", "/scan/stop", "x=y", nil); w.Code != 303 {
		t.Errorf("stopping: %d", w.Code)
	}
}

// The button that ends the program lets its last page fetch what it looks like, and tells the
// windows.
func TestQuit(t *testing.T) {
	hasten(t)
	url, _, db, stop := heard(t)
	s := listenTo(t, url, "")
	w := ask(serverAt(t, url), "POST", "/quit", "x=y", nil)
	if w.Code != 200 || !strings.Contains(w.Body.String(), "dubgauge has ended.") {
		t.Errorf("%d %s", w.Code, w.Body)
	}
	if w := ask(serverAt(t, url), "POST", "/quit", "x=y", nil); w.Code != 200 { // twice is once
		t.Errorf("again: %d", w.Code)
	}
	answer, err := fetch(t, plain, url+"/assets/page.css")
	if err != nil || answer.StatusCode != 200 {
		t.Errorf("the style sheet of the last page: %v", err)
	} else {
		answer.Body.Close()
	}
	if _, _, ok := s.event("end"); !ok {
		t.Error("the end is not told")
	}
	ended := false
	for range 100 {
		if ended = serverAt(t, url).Scan([]string{t.TempDir()}) == errEnding; ended {
			break
		}
		time.Sleep(50 * time.Millisecond)
	}
	if !ended {
		t.Error("it still scans")
	}
	stop()
	if _, err := db.Roots(t.Context()); err != nil {
		t.Errorf("the database is not the server's to close: %v", err)
	}
}

func TestGlanceWords(t *testing.T) {
	for _, c := range []struct {
		n     int
		whole bool
		want  string
	}{
		{0, true, "No track was found in it."}, {0, false, "None found at a glance; there is more to look through."},
		{1, true, "1 track, by the names."}, {70, false, "At least 70 tracks, by the names."},
	} {
		if got := glanceWords(c.n, c.whole); got != c.want {
			t.Errorf("%d, %v: %q", c.n, c.whole, got)
		}
	}
}
