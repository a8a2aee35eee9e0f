package store

import (
	"context"
	"testing"
	"time"

	"dubgauge/detect/standout"
	"dubgauge/library/track"
)

// putFile stores a track of a root whose file was measured, judged ready or not as it comes.
func putFile(t *testing.T, db *DB, root, name string, seed int) {
	t.Helper()
	err := db.Write(context.Background(), func(tx *Tx) error {
		place, err := tx.Place(root)
		if err != nil {
			return err
		}
		r := full(t)
		r.Path, r.Fingerprint = name, ""
		return tx.Put(&File{Place: &place, Rel: name, Path: name, Size: int64(1000 + seed), MTime: 1}, &r)
	})
	if err != nil {
		t.Fatal(err)
	}
}

// TestStateOfAnotherConnection: every kind of change gives another state, as another connection sees it; reading,
// the noting of a scan and the life signs of one give none.
func TestStateOfAnotherConnection(t *testing.T) {
	db := openTemp(t)
	other, err := Open(context.Background(), db.Path()) // another program's
	if err != nil {
		t.Fatal(err)
	}
	defer other.Close()
	putFile(t, db, "/stick", "a.wav", 1)
	for _, c := range []struct {
		name    string
		changes bool
		do      func() error
	}{
		{"nothing", false, func() error { return nil }},
		{"a track", true, func() error { putFile(t, db, "/stick", "b.wav", 2); return nil }},
		{"reading", false, func() error { _, err := db.Tracks(context.Background(), TrackOptions{}); return err }},
		{"a mark", true, func() error {
			_, err := db.SetMarks(context.Background(), []int64{1}, func(m track.Marks) track.Marks { m.Reference = true; return m })
			return err
		}},
		{"the end of a scan", false, func() error {
			return db.Write(context.Background(), func(tx *Tx) error { return tx.NoteScan("/stick", time.Now()) })
		}},
		{"a session", false, func() error {
			ss, err := db.OpenSession(context.Background())
			if err != nil {
				return err
			}
			return ss.Close()
		}},
		{"matching", true, func() error {
			return db.Write(context.Background(), func(tx *Tx) error { return tx.exec(`INSERT INTO matches (a, b, seconds) VALUES (7, 8, 20)`) })
		}},
	} {
		before := stateOf(t, other)
		if err := c.do(); err != nil {
			t.Fatalf("%s: %v", c.name, err)
		}
		if after := stateOf(t, other); (after != before) != c.changes {
			t.Errorf("%s: %v before, %v after", c.name, before, after)
		}
	}
	db.Close()
	if _, err := db.State(context.Background()); err == nil {
		t.Error("a closed database has a state")
	}
}

// TestLibraries: what is known of each root, without tracks that are ignored or gone; roots
// that have nothing and were never scanned to the end are none.
func TestLibraries(t *testing.T) {
	db := openTemp(t)
	for i, name := range []string{"a.wav", "b.wav", "c.wav", "d.wav"} {
		putFile(t, db, "/stick", name, i)
	}
	putFile(t, db, "/other", "e.wav", 9)
	at := time.Unix(1_700_000_000, 5)
	err := db.Write(context.Background(), func(tx *Tx) error {
		for _, dir := range []string{"/empty", "/never"} {
			if _, err := tx.Place(dir); err != nil {
				return err
			}
		}
		for _, q := range []string{`UPDATE tracks SET mark_ignore = 1 WHERE path = 'a.wav'`, `UPDATE tracks SET missing_at = 1 WHERE path = 'b.wav'`,
			`UPDATE tracks SET error_kind = 'damaged', error_detail = 'x' WHERE path = 'c.wav'`} {
			if err := tx.exec(q); err != nil {
				return err
			}
		}
		for _, dir := range []string{"/stick", "/empty", "/stick/deeper"} {
			if err := tx.NoteScan(dir, at); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	all, err := db.Libraries(context.Background(), standout.Options{})
	if err != nil || len(all) != 3 {
		t.Fatalf("%+v, %v", all, err)
	}
	if l := all[0]; l.Root != "/empty" || l.Tracks != 0 || !l.Scanned.Equal(at) {
		t.Errorf("the empty one: %+v", l)
	}
	if l := all[1]; l.Root != "/other" || l.Tracks != 1 || !l.Scanned.IsZero() {
		t.Errorf("one whose scan was stopped: %+v", l)
	}
	out := 0
	for _, tr := range tracksOf(t, db, TrackOptions{}) {
		if tr.Root == "/stick" && tr.Verdict != standout.Ready {
			out++
		}
	}
	if l := all[2]; l.Root != "/stick" || l.Tracks != 2 || out == 0 || l.Out != out || !l.Scanned.Equal(at) {
		t.Errorf("the stick: %+v, want %d that are not ready", l, out)
	}
}
