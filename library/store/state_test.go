package store

import (
	"errors"
	"testing"

	"github.com/google/go-cmp/cmp"

	"dubgauge/detect/standout"
	"dubgauge/library/status"
	"dubgauge/library/track"
)

// Judging in memory says what reading the library anew does, whatever the marks: doubles and
// clashes of names come and go with tracks that are ignored, references with their status.
func TestRejudgeIsWhatIsReadAnew(t *testing.T) {
	for _, kept := range []bool{false, true} {
		if kept {
			keeping(t)
		}
		db := mixed(t)
		rawDB(t, db.Path(), `UPDATE tracks SET path = '005.WAV' WHERE id = 50`,
			`UPDATE tracks SET fingerprint = (SELECT fingerprint FROM tracks WHERE id = 33), bpm = (SELECT bpm FROM tracks WHERE id = 33), low = (SELECT low FROM tracks WHERE id = 33),
			sub = (SELECT sub FROM tracks WHERE id = 33), bass = (SELECT bass FROM tracks WHERE id = 33), range = (SELECT range FROM tracks WHERE id = 33) WHERE id = 34`)
		o := TrackOptions{IncludeIgnored: true, Prints: true}
		tracks := tracksOf(t, db, o)
		for i, m := range []map[int64]track.Marks{
			{33: {Ignore: true}}, {5: {Ignore: true}}, {33: {}, 5: {}}, {17: {Status: status.Unreleased}, 8: {Status: status.Released}},
			{9: {Reference: true}}, {9: {}, 17: {}, 8: {}},
		} {
			if testing.Short() && i > 1 {
				break // for the race detector: every mark runs the same code at once
			}
			before := stateOf(t, db)
			got, err := db.Rejudge(t.Context(), tracks, m, standout.Options{})
			if err != nil {
				t.Fatal(err)
			}
			if stateOf(t, db) != before {
				t.Error("judging anew wrote to the database")
			}
			for id, marks := range m {
				_, at, err := db.MarkBetween(t.Context(), []int64{id}, func(track.Marks) track.Marks { return marks })
				if err != nil {
					t.Fatal(err)
				}
				if at.Before != before || at.After == before || at.After != stateOf(t, db) {
					t.Errorf("marked between %v, with %v before and %v now", at, before, stateOf(t, db))
				}
				before = at.After
			}
			want := tracksOf(t, db, o)
			if d := cmp.Diff(want, got, same); d != "" {
				t.Fatalf("marks %v, kept %v (-read +judged):\n%s", m, kept, d)
			}
			if d := cmp.Diff(want, tracksOf(t, db, o), same); d != "" {
				t.Fatalf("reading again differs:\n%s", d)
			}
			tracks = got
		}
	}
}

// Undoing says between which states it was, too.
func TestRestoreBetween(t *testing.T) {
	db := mixed(t)
	was, err := db.SetMarks(t.Context(), []int64{3}, func(m track.Marks) track.Marks { m.Reference = true; return m })
	if err != nil {
		t.Fatal(err)
	}
	before := stateOf(t, db)
	n, at, err := db.RestoreBetween(t.Context(), was, map[int64]track.Marks{3: {Reference: true}})
	if n != 1 || err != nil || at.Before != before || at.After == before || at.After != stateOf(t, db) {
		t.Errorf("%d restored between %v (%v before, %v now), %v", n, at, before, stateOf(t, db), err)
	}
}

// A mark for nobody is no library that there could be.
func TestRejudgeOfNobody(t *testing.T) {
	db := mixed(t)
	if _, err := db.Rejudge(t.Context(), tracksOf(t, db, TrackOptions{}), map[int64]track.Marks{12345: {}}, standout.Options{}); !errors.Is(err, ErrNoTrack) {
		t.Errorf("error %v", err)
	}
}

// The state changes with a track, a pattern and what shares music, and not by being read.
func TestState(t *testing.T) {
	db := mixed(t)
	was := stateOf(t, db)
	tracksOf(t, db, TrackOptions{})
	if stateOf(t, db) != was {
		t.Error("reading changes the state")
	}
	for _, change := range []string{
		`UPDATE tracks SET title = 'x' WHERE id = 3`, `DELETE FROM tracks WHERE id = 4`, `INSERT INTO globs (dir, released, unreleased) VALUES ('/x', '[]', '[]')`,
		`INSERT INTO matches VALUES (1, 2, 30)`, `UPDATE matches SET seconds = 31`, `DELETE FROM matches`,
	} {
		rawDB(t, db.Path(), change)
		now := stateOf(t, db)
		if now == was {
			t.Errorf("%s leaves the state", change)
		}
		was = now
	}
}

func stateOf(t *testing.T, db *DB) State {
	t.Helper()
	s, err := db.State(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	return s
}
