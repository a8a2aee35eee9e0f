package live

import (
	"context"
	"errors"
	"io"
	"net/http"
	"net/http/httptest"
	"net/url"
	"path/filepath"
	"strconv"
	"strings"
	"sync/atomic"
	"testing"

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

// TestUndoAfterAFailedReading: what was written can be undone though the page could not
// be drawn anew, and an undo that failed can be tried again.
func TestUndoAfterAFailedReading(t *testing.T) {
	db := recorded(t, "a.wav", "b.wav")
	s := New(db, Options{})
	a := named(t, db, "a.wav").ID
	if _, err := s.library(t.Context(), true); err != nil {
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
	if tracks, err := s.library(t.Context(), false); err != nil || !tracks[0].Marks.Reference {
		t.Errorf("the page shows marks of before: %+v, error %v", tracks[0].Marks, err)
	}
	if !strings.Contains(s.lastMark(), "1 track") {
		t.Errorf("the step is %q", s.lastMark())
	}
	if status, said := post(s, "/undo", nil); status != http.StatusNoContent {
		t.Errorf("undo gives %d %q", status, said)
	}
	if named(t, db, "a.wav").Marks.Reference || s.lastMark() != "" {
		t.Errorf("after undo: %+v, step %q", named(t, db, "a.wav").Marks, s.lastMark())
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
	if status, _ := post(s, "/undo", nil); status != http.StatusInternalServerError {
		t.Errorf("undo gives %d", status)
	}
	db.DB = openDB(t, path)
	if status, said := post(s, "/undo", nil); status != http.StatusNoContent || named(t, db, "a.wav").Marks.Ignore {
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
	db.down.Store(true)
	if status, said := post(s, "/undo", nil); status != http.StatusInternalServerError || !strings.Contains(said, "busy") {
		t.Errorf("undo gives %d %q", status, said)
	}
	db.down.Store(false)
	tracks, err := s.library(t.Context(), false)
	if err != nil || len(tracks) != 2 || tracks[0].Marks.Reference || tracks[1].Marks.Reference {
		t.Errorf("the page shows marks that were taken back: %+v, error %v", tracks, err)
	}
	if s.lastMark() != "" {
		t.Errorf("the step %q is still there", s.lastMark())
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
	if status, said := post(s, "/undo", nil); status != http.StatusNoContent {
		t.Errorf("undo gives %d %q", status, said)
	}
	if named(t, db, "a.wav").Marks.Status != "" || named(t, db, "c.wav").Marks.Status != library.Released {
		t.Errorf("after undo: %+v, %+v", named(t, db, "a.wav").Marks, named(t, db, "c.wav").Marks)
	}
	forget(t, db, c)
	if status, said := post(s, "/undo", nil); status != http.StatusNotFound || !strings.Contains(said, "no longer in the library") {
		t.Errorf("undo for nobody gives %d %q", status, said)
	}
	if s.lastMark() != "" {
		t.Errorf("a step that nobody can take back stays: %q", s.lastMark())
	}
}

// forget deletes a track from the database, as a year of being missing does.
func forget(t *testing.T, db *failing, id int64) {
	t.Helper()
	if err := deleteTrack(db.Path(), id); err != nil {
		t.Fatal(err)
	}
}
