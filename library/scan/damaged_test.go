package scan

import (
	"context"
	"database/sql"
	"testing"

	"dubgauge/detect/standout"
	"dubgauge/library/store"
)

// TestDamagedRecordIsMeasuredAnew: that one and no other, and its marks are kept.
func TestDamagedRecordIsMeasuredAnew(t *testing.T) {
	for _, change := range []string{`UPDATE records SET record = substr(record, 1, 300) WHERE track = `, `UPDATE tracks SET loudest = loudest + 4 WHERE id = `} {
		dir, db := smallLibrary(t), openTemp(t)
		scanCounted(t, db, Options{}, dir)
		a := byPath(t, db, "a.wav")
		mark(t, db, a.ID)
		raw, err := sql.Open("sqlite", db.Path())
		if err != nil {
			t.Fatal(err)
		}
		if _, err := raw.ExecContext(context.Background(), change+"?", a.ID); err != nil {
			t.Fatal(err)
		}
		raw.Close()
		tracks, err := db.Tracks(t.Context(), store.TrackOptions{Full: true})
		if err != nil || len(tracks) != 5 {
			t.Fatalf("%d tracks, error %v", len(tracks), err)
		}
		for _, tr := range tracks {
			if (tr.Verdict == standout.Unreadable) != (tr.ID == a.ID) {
				t.Errorf("%s is %s", tr.Path, tr.Verdict)
			}
		}
		if r, _ := scanCounted(t, db, Options{}, dir); r.Measured != 1 || r.Unchanged != 4 {
			t.Errorf("%d measured, %d unchanged; want 1, 4", r.Measured, r.Unchanged)
		}
		if b := byPath(t, db, "a.wav"); b.ID != a.ID || !b.Marks.Reference {
			t.Errorf("afterwards: %+v", b)
		}
		checkFigures(t, db)
	}
}
