package live

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"net/url"
	"path/filepath"
	"strconv"
	"strings"
	"sync/atomic"
	"testing"

	"dubgauge/detect/standout"
	"dubgauge/library"
)

// failing is a library's database in which reading fails while down is set.
type failing struct {
	*library.DB
	down atomic.Bool
}

var errDown = errors.New("the disk is busy")

func (f *failing) Tracks(ctx context.Context, o library.TrackOptions) ([]library.Track, error) {
	if f.down.Load() {
		return nil, errDown
	}
	return f.DB.Tracks(ctx, o)
}

func (f *failing) Rejudge(ctx context.Context, tracks []library.Track, marks map[int64]library.Marks, o standout.Options) ([]library.Track, error) {
	if f.down.Load() {
		return nil, errDown
	}
	return f.DB.Rejudge(ctx, tracks, marks, o)
}

// recorded is a database of tracks that were measured elsewhere.
func recorded(t *testing.T, names ...string) *failing {
	t.Helper()
	dir := t.TempDir()
	db := openDB(t, filepath.Join(dir, "library.db"))
	var lines strings.Builder
	for _, n := range names {
		lines.WriteString(`{"path":"` + n + `"}` + "\n")
	}
	if r, err := library.ImportRecords(t.Context(), db, dir, strings.NewReader(lines.String())); err != nil || r.Total != len(names) {
		t.Fatalf("report %+v, error %v", r, err)
	}
	return &failing{DB: db}
}

// post sends a form to the server, as the page does.
func post(s *Server, path string, form url.Values) (status int, said string) {
	r := httptest.NewRequest("POST", "http://127.0.0.1"+path, strings.NewReader(form.Encode()))
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	r.Header.Set("Accept", "text/plain")
	r.AddCookie(s.lock.asCookie())
	w := httptest.NewRecorder()
	s.ServeHTTP(w, r)
	body, _ := io.ReadAll(w.Result().Body)
	return w.Code, string(body)
}

func marking(mark string, ids ...int64) url.Values {
	f := url.Values{"mark": {mark}}
	for _, id := range ids {
		f.Add("id", strconv.FormatInt(id, 10))
	}
	return f
}

// lastStep is the form that takes back the last mark.
func lastStep(s *Server) url.Values {
	return url.Values{"step": {strconv.FormatInt(s.lastMark().Step, 10)}}
}

// A mark sets a state: given twice, as by two clicks or in two windows, it is still so.
func TestMarksAreStates(t *testing.T) {
	db := recorded(t, "a.wav")
	s := New(db, Options{})
	a := named(t, db, "a.wav").ID
	for _, c := range []struct {
		mark string
		want library.Marks
	}{
		{"ignore", library.Marks{Ignore: true}}, {"ignore", library.Marks{Ignore: true}},
		{"reference", library.Marks{Ignore: true, Reference: true}}, {"reference", library.Marks{Ignore: true, Reference: true}},
		{"no-ignore", library.Marks{Reference: true}}, {"no-ignore", library.Marks{Reference: true}},
		{"released", library.Marks{Reference: true, Status: library.Released}},
		{"no-reference", library.Marks{Status: library.Released}}, {"clear", library.Marks{}},
	} {
		if status, said := post(s, "/marks", marking(c.mark, a)); status != http.StatusNoContent {
			t.Fatalf("%s gives %d %q", c.mark, status, said)
		}
		if got := named(t, db, "a.wav").Marks; got != c.want {
			t.Errorf("after %s: %+v, want %+v", c.mark, got, c.want)
		}
	}
}

// Undo takes back the step that its button names, whichever window it is in, and nothing that
// somebody else did since.
func TestUndoByStep(t *testing.T) {
	db := recorded(t, "a.wav", "b.wav")
	s := New(db, Options{})
	a, b := named(t, db, "a.wav").ID, named(t, db, "b.wav").ID
	post(s, "/marks", marking("ignore", a))
	first := lastStep(s)
	post(s, "/marks", marking("ignore", b))
	second := lastStep(s)
	if status, said := post(s, "/undo", first); status != http.StatusNoContent {
		t.Errorf("undo of the first gives %d %q", status, said)
	}
	if named(t, db, "a.wav").Marks.Ignore || !named(t, db, "b.wav").Marks.Ignore {
		t.Error("another step was taken back")
	}
	if status, said := post(s, "/undo", first); status != http.StatusBadRequest || !strings.Contains(said, "taken back already") {
		t.Errorf("again: %d %q", status, said)
	}
	if _, err := db.SetMarks(t.Context(), []int64{b}, func(m library.Marks) library.Marks { m.Reference = true; return m }); err != nil {
		t.Fatal(err)
	}
	if status, said := post(s, "/undo", second); status != http.StatusConflict || !strings.Contains(said, "marked again since") {
		t.Errorf("undo of what was marked since: %d %q", status, said)
	}
	if got := named(t, db, "b.wav").Marks; got != (library.Marks{Ignore: true, Reference: true}) {
		t.Errorf("what somebody else did is gone: %+v", got)
	}
	if s.lastMark().What != "" {
		t.Errorf("a step that cannot be taken back stays: %+v", s.lastMark())
	}
}

// Without a script a form leads back to where it was, with its filter, and to no other site.
func TestFormsLeadBack(t *testing.T) {
	db := recorded(t, "a.wav")
	s := New(db, Options{})
	a := named(t, db, "a.wav").ID
	for referer, want := range map[string]string{
		"http://127.0.0.1:4321/?verdict=check":  "/?verdict=check",
		"http://127.0.0.1:4321/track/7":         "/track/7",
		"http://evil.example/?x":                fmt.Sprintf("/track/%d", a),
		"http://127.0.0.1:4321//evil.example/x": "/evil.example/x",
		"":                                      fmt.Sprintf("/track/%d", a),
	} {
		w := ask(s, "POST", "/marks", marking("ignore", a).Encode(), header("Referer", referer))
		if got := w.Header().Get("Location"); w.Code != http.StatusSeeOther || got != want {
			t.Errorf("from %q to %q, want %q (%d)", referer, got, want, w.Code)
		}
	}
	for back, want := range map[string]string{"/?q=x": "/?q=x", "//evil.example/x": "/x", "https://evil.example/x": "/x", "": fmt.Sprintf("/track/%d", a)} {
		form := marking("ignore", a)
		form.Set("back", back)
		w := ask(s, "POST", "/marks", form.Encode(), header("Referer", "http://127.0.0.1:4321/marks")) // the page that asked
		if got := w.Header().Get("Location"); got != want {
			t.Errorf("behind a question that was come to from %q it leads to %q, want %q", back, got, want)
		}
	}
}

// TestUndoAfterAFailedReading: what was written can be undone though the page could not
// be drawn anew, and an undo that failed can be tried again.
func TestUndoAfterAFailedReading(t *testing.T) {
	db := recorded(t, "a.wav", "b.wav")
	s := New(db, Options{})
	a := named(t, db, "a.wav").ID
	if _, err := s.library(t.Context()); err != nil {
		t.Fatal(err)
	}
	db.down.Store(true)
	if status, said := post(s, "/marks", marking("reference", a)); status != http.StatusInternalServerError || !strings.Contains(said, "busy") {
		t.Errorf("marking gives %d %q", status, said)
	}
	db.down.Store(false)
	if !named(t, db, "a.wav").Marks.Reference {
		t.Fatal("the mark was not written")
	}
	if tracks, err := s.library(t.Context()); err != nil || !tracks[0].Marks.Reference {
		t.Errorf("the page shows marks of before: %+v, error %v", tracks[0].Marks, err)
	}
	if !strings.Contains(s.lastMark().What, "1 track") {
		t.Errorf("the step is %+v", s.lastMark())
	}
	if status, said := post(s, "/undo", lastStep(s)); status != http.StatusNoContent {
		t.Errorf("undo gives %d %q", status, said)
	}
	if named(t, db, "a.wav").Marks.Reference || s.lastMark().What != "" {
		t.Errorf("after undo: %+v, step %+v", named(t, db, "a.wav").Marks, s.lastMark())
	}
}

// TestUndoThatFails keeps the step.
func TestUndoThatFails(t *testing.T) {
	db := recorded(t, "a.wav")
	s := New(db, Options{})
	a := named(t, db, "a.wav").ID
	if status, _ := post(s, "/marks", marking("ignore", a)); status != http.StatusNoContent {
		t.Fatalf("marking gives %d", status)
	}
	path := db.Path()
	db.DB.Close()
	if status, _ := post(s, "/undo", lastStep(s)); status != http.StatusInternalServerError {
		t.Errorf("undo gives %d", status)
	}
	db.DB = openDB(t, path)
	if status, said := post(s, "/undo", lastStep(s)); status != http.StatusNoContent || named(t, db, "a.wav").Marks.Ignore {
		t.Errorf("undo again gives %d %q, marks %+v", status, said, named(t, db, "a.wav").Marks)
	}
}

// TestUndoWhoseReadingFails: the marks are what they were before, and the page does not
// go on showing those that were taken back.
func TestUndoWhoseReadingFails(t *testing.T) {
	db := recorded(t, "a.wav", "b.wav")
	s := New(db, Options{})
	a := named(t, db, "a.wav").ID
	if status, _ := post(s, "/marks", marking("reference", a)); status != http.StatusNoContent {
		t.Fatalf("marking gives %d", status)
	}
	first := lastStep(s)
	if status, _ := post(s, "/marks", marking("ignore", named(t, db, "b.wav").ID)); status != http.StatusNoContent {
		t.Fatalf("marking another gives %d", status) // what was there before the first is known no more
	}
	db.down.Store(true)
	if status, said := post(s, "/undo", first); status != http.StatusInternalServerError || !strings.Contains(said, "busy") {
		t.Errorf("undo gives %d %q", status, said)
	}
	db.down.Store(false)
	tracks, err := s.library(t.Context())
	if err != nil || len(tracks) != 2 || tracks[0].Marks.Reference || !tracks[1].Marks.Ignore {
		t.Errorf("the page shows marks that were taken back: %+v, error %v", tracks, err)
	}
	if lastStep(s).Get("step") == first.Get("step") || len(s.undo) != 1 {
		t.Errorf("the step is still there, of %d", len(s.undo))
	}
}

// TestUndoWithoutOneOfTheTracks: the others get their marks back; and when all are
// gone, that is said.
func TestUndoWithoutOneOfTheTracks(t *testing.T) {
	db := recorded(t, "a.wav", "b.wav", "c.wav")
	s := New(db, Options{})
	a, b, c := named(t, db, "a.wav").ID, named(t, db, "b.wav").ID, named(t, db, "c.wav").ID
	if status, _ := post(s, "/marks", marking("released", c)); status != http.StatusNoContent {
		t.Fatal("not marked")
	}
	if status, _ := post(s, "/marks", marking("unreleased", a, b, c)); status != http.StatusNoContent {
		t.Fatal("not marked")
	}
	forget(t, db, b)
	if status, said := post(s, "/undo", lastStep(s)); status != http.StatusNoContent {
		t.Errorf("undo gives %d %q", status, said)
	}
	if named(t, db, "a.wav").Marks.Status != "" || named(t, db, "c.wav").Marks.Status != library.Released {
		t.Errorf("after undo: %+v, %+v", named(t, db, "a.wav").Marks, named(t, db, "c.wav").Marks)
	}
	forget(t, db, c)
	if status, said := post(s, "/undo", lastStep(s)); status != http.StatusNotFound || !strings.Contains(said, "no longer in the library") {
		t.Errorf("undo for nobody gives %d %q", status, said)
	}
	if s.lastMark().What != "" {
		t.Errorf("a step that nobody can take back stays: %+v", s.lastMark())
	}
}

// forget deletes a track from the database, as a year of being missing does.
func forget(t *testing.T, db *failing, id int64) {
	t.Helper()
	if err := deleteTrack(db.Path(), id); err != nil {
		t.Fatal(err)
	}
}
