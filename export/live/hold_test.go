package live

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"net/http"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"dubgauge/detect"
	"dubgauge/export/browser"
	"dubgauge/export/words"
	"dubgauge/library"
)

// drums are so many seconds of hits at random, which no other part is like.
func drums(rate, seconds int) []float64 {
	r := rand.New(rand.NewPCG(3, 5))
	x := make([]float64, seconds*rate)
	for at := 0; at < len(x)-rate; at += rate/8 + r.IntN(rate/8) {
		level, decay, hz := 0.1+0.2*r.Float64(), 20+80*r.Float64(), 60+600*r.Float64()
		for i := range rate / 4 {
			t := float64(i) / float64(rate)
			x[at+i] += level * math.Exp(-decay*t) * (0.3*r.NormFloat64() + math.Sin(2*math.Pi*hz*t))
		}
	}
	return x
}

// twoVersions is a library of two versions of one tune, the second 3 dB down and one second
// later, and its tracks.
func twoVersions(t testing.TB) (db *library.DB, one, two library.Track) {
	t.Helper()
	dir := t.TempDir()
	s := sound{path: "night bus v1.wav", rate: 44100, seconds: 30}
	left := drums(s.rate, 30)
	right := left
	writeStereo(t, dir, s, left, right)
	s.path = "night bus v2.wav"
	down := func(x []float64) []float64 {
		y := make([]float64, s.rate, s.rate+len(x))
		for _, v := range x {
			y = append(y, v*math.Pow(10, -3.0/20))
		}
		return y
	}
	writeStereo(t, dir, s, down(left), down(right))
	db = openDB(t, filepath.Join(dir, "library.db"))
	if _, err := library.Scan(t.Context(), db, []string{dir}, library.ScanOptions{}); err != nil {
		t.Fatal(err)
	}
	tracks, err := db.Tracks(t.Context(), library.TrackOptions{Full: true})
	if err != nil || len(tracks) != 2 {
		t.Fatalf("%d tracks, %v", len(tracks), err)
	}
	one, two = tracks[0], tracks[1]
	if strings.Contains(one.Path, "v2") {
		one, two = two, one
	}
	return db, one, two
}

// From a track's page to the comparison with its other version: the figures at once, what was
// done between them when both have been read. The second was made 3 dB down and a second later.
func TestCompareOnThePage(t *testing.T) {
	db, one, two := twoVersions(t)
	ctx := browser.Tab(t)
	url := served(t, db, Options{})
	visit(t, ctx, fmt.Sprintf("%s/track/%d", url, one.ID))
	label := browser.Eval[string](t, ctx, `document.querySelector('.hold select option').textContent`)
	if !strings.HasPrefix(label, "version: #") || !strings.Contains(label, "night bus v2.wav") {
		t.Fatalf("the first to hold it against is %q", label)
	}
	browser.Do(t, ctx, chromedp.Click(chromedp.CSS(".hold button")))
	browser.Until(t, ctx, `document.querySelector('.pairs')`)
	row := browser.Eval[[]string](t, ctx, `[...document.querySelectorAll('.pairs tbody tr')][1].textContent.split(/\s+/)`)
	if got, want := strings.Join(row, " "), "−3.0"; !strings.Contains(got, want) {
		t.Errorf("the integrated loudness reads %q, no %q", got, want)
	}
	browser.Until(t, ctx, `document.querySelector('.between').getAttribute('aria-busy') === null && !document.querySelector('.between').textContent.includes('being read')`)
	said := browser.Eval[string](t, ctx, `document.querySelector('.between').textContent`)
	for _, want := range []string{"Only the gain differs: B is 3.00 dB quieter than A.", "What A begins with comes 1.000 s into B."} {
		if !strings.Contains(said, want) {
			t.Errorf("no %q in %q", want, said)
		}
	}
	browser.Do(t, ctx, chromedp.Click(chromedp.CSS(`.compared a[href^="/compare"]`)))
	browser.Until(t, ctx, fmt.Sprintf(`document.querySelector('.compared dd a[href="/track/%d"]') && location.search.startsWith('?a=%d')`, one.ID, two.ID))
}

// The loudest part is looked at from the track's page, in its place; and by its address alone.
func TestLookCloserOnThePage(t *testing.T) {
	db, _ := bagged(t)
	one := named(t, db, "Dubs/plain edit.wav")
	ctx := browser.Tab(t)
	url := served(t, db, Options{})
	visit(t, ctx, fmt.Sprintf("%s/track/%d", url, one.ID))
	browser.Do(t, ctx, chromedp.Click(chromedp.CSS(".closer a")))
	browser.Until(t, ctx, `document.querySelector('.closer').textContent.includes('As AAC 256')`)
	said := browser.Eval[string](t, ctx, `document.querySelector('.closer').textContent`)
	if !strings.Contains(said, "Peak to loudness") || !strings.Contains(said, "As MP3 320: true peak") {
		t.Errorf("it reads %q", said)
	}
	visit(t, ctx, fmt.Sprintf("%s/track/%d/closer", url, one.ID))
	if got := browser.Eval[string](t, ctx, `document.querySelector('article h1').textContent`); got != "The loudest 30 s of "+words.Name(&one) {
		t.Errorf("a page of its own is headed %q", got)
	}
}

// Tracks that are not there, or cannot be read, and one against itself are refused in words.
func TestCompareRefuses(t *testing.T) {
	db, _ := bagged(t)
	one, two := named(t, db, "Dubs/plain edit.wav"), named(t, db, "Dubs/tin roof dubplate.wav")
	s := New(db, Options{})
	for path, want := range map[string]int{
		fmt.Sprintf("/compare?a=%d&b=%d", one.ID, two.ID): http.StatusOK,
		fmt.Sprintf("/compare?a=%d&b=%d", one.ID, one.ID): http.StatusNotFound,
		fmt.Sprintf("/compare?a=%d&b=99", one.ID):         http.StatusNotFound,
		"/compare": http.StatusNotFound,
		fmt.Sprintf("/compare/between?a=%d&b=99", one.ID): http.StatusNotFound,
		"/track/99/closer": http.StatusNotFound,
		fmt.Sprintf("/track/%d/closer?part=1", two.ID+1000): http.StatusNotFound,
	} {
		if got := ask(s, "GET", strings.Split(path, "?")[0], "", func(r *http.Request) { _, r.URL.RawQuery, _ = strings.Cut(path, "?") }).Code; got != want {
			t.Errorf("%s: status %d, want %d", path, got, want)
		}
	}
}

// The other versions come first, the references by how near they are, itself and what cannot be
// read never.
func TestChoices(t *testing.T) {
	refs := make([]*library.Track, 30)
	for i := range refs {
		refs[i] = &library.Track{ID: int64(i + 1)}
		refs[i].Measurement.File.SampleRateHz = 44100
		refs[i].Path, refs[i].Loudness.Loudest30sLUFS, refs[i].Tempo.BPM = fmt.Sprintf("r%02d.wav", i), -8, detect.Value(125+i)
	}
	own := *refs[4]
	own.Versions = &library.Versions{Tracks: []library.Version{{ID: 9, Path: "r08.wav"}}}
	got, readable := choices(&own, refs)
	if !readable || len(got) != 1+mostHeld || got[0].ID != 9 || !strings.HasPrefix(got[0].Label, "version: #9") {
		t.Fatalf("%v, %+v", readable, got[:min(3, len(got))])
	}
	seen := map[int64]bool{}
	for _, c := range got {
		if c.ID == own.ID || seen[c.ID] {
			t.Errorf("%+v is not to choose", c)
		}
		seen[c.ID] = true
	}
	own.Loudness.Loudest30sLUFS = detect.None
	if got, readable := choices(&own, refs); readable || got != nil {
		t.Errorf("of silence %+v", got)
	}
}

// What takes a while waits for a place, and no longer than it is wanted.
func TestLooksTakePlaces(t *testing.T) {
	s := New(nil, Options{})
	for range maxSegments {
		s.segments <- struct{}{}
	}
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	ran := false
	if err := s.look(ctx, func(context.Context) error { ran = true; return nil }); err == nil || ran {
		t.Errorf("it ran without a place: %v, %v", ran, err)
	}
	<-s.segments
	if err := s.look(t.Context(), func(context.Context) error { ran = true; return nil }); err != nil || !ran {
		t.Errorf("it did not run: %v", err)
	}
	if n := len(s.segments); n != maxSegments-1 {
		t.Errorf("%d places are taken", n)
	}
}
