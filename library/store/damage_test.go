package store

import (
	"bytes"
	"context"
	"database/sql"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"dubgauge/detect/standout"
	"dubgauge/library/madeup"
	"dubgauge/library/status"
	"dubgauge/library/track"
)

// stored is a database with n made-up tracks, and its records as they went in.
func stored(t testing.TB, n int) *DB {
	t.Helper()
	db := openTemp(t)
	rng := rand.New(rand.NewPCG(5, 6))
	err := db.Write(t.Context(), func(tx *Tx) error {
		p, err := tx.Place("/music")
		for i := range n {
			name := fmt.Sprintf("%03d.wav", i)
			r := madeup.Record(rng, i)
			r.Path = name
			f := &File{Place: &p, Rel: name, Path: name, Size: int64(1000 + i), Content: fmt.Appendf(nil, "%016d", i), Whole: fmt.Appendf(nil, "%08d", i)}
			if err == nil {
				err = tx.Put(f, &r)
			}
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return db
}

// TestOneDamagedRecord: whatever happened to one track in the database, the others are
// read as they are; the one is named, keeps its marks, and the next scan measures it
// anew. Nothing here is seen by SQLite's own check.
func TestOneDamagedRecord(t *testing.T) {
	for _, c := range []struct{ name, change string }{
		{"the record is cut off", `UPDATE records SET record = substr(record, 1, 500) WHERE track = 3`},
		{"a digit of the record flipped", `UPDATE records SET record = replace(record, '"sample_rate_hz":44100', '"sample_rate_hz":44108') WHERE track = 3`},
		{"the record is gone", `DELETE FROM records WHERE track = 3`},
		{"a level flipped", `UPDATE tracks SET loudest = loudest + 4 WHERE id = 3`},
		{"a level is text", `UPDATE tracks SET loudest = x'aa55' WHERE id = 3`},
		{"a count is text", `UPDATE tracks SET clipped = 'x' WHERE id = 3`},
		{"a title flipped", `UPDATE tracks SET title = 'Some Titme 2' WHERE id = 3`},
		{"the faults are no JSON", `UPDATE tracks SET faults = '[{' WHERE id = 3`},
		{"the hash flipped", `UPDATE tracks SET whole = x'3030303030303033' WHERE id = 3`},
		{"the fingerprint flipped", `UPDATE tracks SET content = x'30' WHERE id = 3`},
		{"the size flipped", `UPDATE tracks SET size = 1003 WHERE id = 3`},
		{"a checksum flipped", `UPDATE tracks SET sum = x'0011223344556677' WHERE id = 3`},
		{"the marks flipped", `UPDATE tracks SET marks = '/1/1' WHERE id = 3`},
		{"a record's checksum flipped", `UPDATE records SET sum = x'0011223344556677' WHERE track = 3`},
	} {
		t.Run(c.name, func(t *testing.T) {
			db := stored(t, 8)
			mark := func(m track.Marks) track.Marks { m.Reference = true; return m }
			if _, err := db.SetMarks(t.Context(), []int64{3}, mark); err != nil {
				t.Fatal(err)
			}
			before := tracksOf(t, db, TrackOptions{Full: true})
			rawDB(t, db.Path(), c.change)
			after := tracksOf(t, db, TrackOptions{Full: true})
			if len(after) != 8 {
				t.Fatalf("%d tracks", len(after))
			}
			for i := range after {
				if after[i].ID == 3 {
					checkDamaged(t, &after[i])
				} else if a, b := asJSON(t, &before[i].Record), asJSON(t, &after[i].Record); a != b {
					t.Errorf("%s changed:\n%s\n%s", after[i].Path, a, b)
				}
			}
			one, err := db.Track(t.Context(), 3)
			if err != nil {
				t.Fatal(err)
			}
			checkDamaged(t, &one)
			if _, err := db.Track(t.Context(), 4); err != nil {
				t.Errorf("another track: %v", err)
			}
			rows, err := db.Rows(t.Context())
			if err != nil {
				t.Fatal(err)
			}
			for _, r := range rows {
				if r.Current() != (r.ID != 3) {
					t.Errorf("track %d is current: %v", r.ID, r.Current())
				}
			}
			measureAnew(t, db, rows)
			if got := tracksOf(t, db, TrackOptions{Full: true}); asJSON(t, &got[2].Record) != asJSON(t, &before[2].Record) || got[2].ID != 3 || !got[2].Marks.Reference {
				t.Errorf("measured anew: %+v", got[2])
			}
			if rows, err := db.Rows(t.Context()); err != nil || !rows[2].Current() {
				t.Errorf("it is to be measured again and again, error %v", err)
			}
		})
	}
}

func asJSON(t testing.TB, r *track.Record) string {
	t.Helper()
	b, err := json.Marshal(r)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// checkDamaged: nothing is left of the figures that cannot be trusted.
func checkDamaged(t *testing.T, tr *track.Track) {
	t.Helper()
	if tr.Path != "002.wav" || tr.Verdict != standout.Unreadable || tr.Error == nil || !strings.Contains(tr.Error.Detail, "database is damaged") ||
		len(tr.Notes) != 1 || !strings.Contains(tr.Notes[0], "Scan its folder again") || tr.Loudness.Loudest30sLUFS.Exists() || tr.Tags.Title != "" || tr.SameFile() != "" || !tr.Marks.Reference {
		t.Errorf("the damaged track: verdict %s, error %+v, notes %q, level %v, title %q, marks %+v", tr.Verdict, tr.Error, tr.Notes,
			tr.Loudness.Loudest30sLUFS, tr.Tags.Title, tr.Marks)
	}
}

// measureAnew stores the made-up record of track 3 again, as a scan would.
func measureAnew(t *testing.T, db *DB, rows []*Row) {
	t.Helper()
	rng := rand.New(rand.NewPCG(5, 6))
	var r track.Record
	for i := range 3 {
		r = madeup.Record(rng, i)
	}
	r.Path = "002.wav"
	err := db.Write(t.Context(), func(tx *Tx) error {
		p, err := tx.Place("/music")
		if err != nil {
			return err
		}
		return tx.Put(&File{Place: &p, Rel: r.Path, Path: r.Path, Size: 1002, Content: fmt.Appendf(nil, "%016d", 2), Whole: fmt.Appendf(nil, "%08d", 2)}, &r)
	})
	if err != nil {
		t.Fatal(err)
	}
}

// TestFlippedByte flips bytes of figures and texts as a bad medium does, behind the back
// of SQLite, whose check finds nothing: no other track changes, and the one is named.
func TestFlippedByte(t *testing.T) {
	for _, part := range []string{`"loudest_30s_start_s":`, `"integrated_lufs":`, `Some Title 2 (Original Mix)`, `"bass_db":`} {
		db := stored(t, 8)
		before := tracksOf(t, db, TrackOptions{Full: true})
		path := filepath.Join(t.TempDir(), "copy.db")
		rawDB(t, db.Path(), `VACUUM INTO '`+path+`'`)
		text := []byte(asJSON(t, &before[2].Record))
		at := bytes.Index(text, []byte(part))
		if part[0] == '"' {
			at += len(part) + 1
		}
		text[at] ^= 1 // a letter, a digit, or the point
		rawDB(t, path, `UPDATE records SET record = '`+strings.ReplaceAll(string(text), "'", "''")+`' WHERE track = 3`)
		flipped, err := Open(context.Background(), path)
		if err != nil {
			t.Fatal(err)
		}
		after, err := flipped.Tracks(t.Context(), TrackOptions{Full: true})
		if err != nil {
			t.Fatalf("%s: %v", part, err)
		}
		for i := range after {
			switch same := asJSON(t, &after[i].Record) == asJSON(t, &before[i].Record); {
			case i == 2 && (after[i].Error == nil || after[i].Verdict != standout.Unreadable):
				t.Errorf("%s: the track is %+v, %s", part, after[i].Error, after[i].Verdict)
			case i != 2 && !same:
				t.Errorf("%s: track %d changed", part, i)
			}
		}
		flipped.Close()
	}
}

// TestChecksumsOfAllValues: what is stored is what is read, also where SQLite keeps a
// number in another form: 0 for -0, whole numbers as such.
func TestChecksumsOfAllValues(t *testing.T) {
	db := stored(t, 200)
	for _, tr := range tracksOf(t, db, TrackOptions{Full: true}) {
		if tr.Error != nil {
			t.Errorf("%s: %+v", tr.Path, tr.Error)
		}
	}
	if broken, err := db.check(t.Context()); len(broken) > 0 || err != nil {
		t.Errorf("broken %v, error %v", broken, err)
	}
	err := db.Write(t.Context(), func(tx *Tx) error {
		p, err := tx.Place("/music")
		if err != nil {
			return err
		}
		r := madeup.Record(rand.New(rand.NewPCG(1, 1)), 1)
		r.Path = "odd.wav"
		r.LowEnd.SubDB, r.LowEnd.BassDB, r.LowEnd.LowDB = -0.00001, 3, 1e-300
		return tx.Put(&File{Place: &p, Rel: "odd.wav", Path: "odd.wav"}, &r)
	})
	if err != nil {
		t.Fatal(err)
	}
	if tr := byPath(t, db, "odd.wav"); tr.Error != nil {
		t.Errorf("%+v", tr.Error)
	}
}

// TestLargeLibraryIsCheckedInParts: a scan holds some of the tracks against their
// checksums, others each time, until all have been.
func TestLargeLibraryIsCheckedInParts(t *testing.T) {
	saved := checkMost
	checkMost = 40
	defer func() { checkMost = saved }()
	db := stored(t, 50)
	rawDB(t, db.Path(), `UPDATE records SET sum = x'00'`)
	seen := map[int64]bool{}
	for range 40 {
		broken, err := db.check(t.Context())
		if err != nil || len(broken) > 40 || len(broken) == 0 {
			t.Fatalf("%d are broken, error %v", len(broken), err)
		}
		for id := range broken {
			seen[id] = true
		}
	}
	if len(seen) < 50 { // the chance that one stays out 40 times is under one in a billion
		t.Errorf("%d tracks were checked in 40 scans", len(seen))
	}
}

// TestChecksumsAreTakenLater: what was stored before there were checksums, or updated
// since, gets them at the next scan; and a damage after that is found.
func TestChecksumsAreTakenLater(t *testing.T) {
	db := stored(t, 4)
	rawDB(t, db.Path(), `UPDATE tracks SET sum = NULL`, `UPDATE records SET sum = NULL`)
	if broken, err := db.check(t.Context()); err != nil || len(broken) > 0 {
		t.Fatalf("broken %v, error %v", broken, err)
	}
	rawDB(t, db.Path(), `UPDATE tracks SET loudest = loudest + 4 WHERE id = 2`,
		`UPDATE records SET record = replace(record, '"sample_rate_hz":44100', '"sample_rate_hz":44108') WHERE track = 3`)
	if broken, err := db.check(t.Context()); err != nil || len(broken) != 2 || !broken[2] || !broken[3] {
		t.Errorf("broken %v, error %v; want 2 and 3", broken, err)
	}
}

// flipPath flips a bit of the path of track 3 in the file of a database that nobody has
// open: in its row, not in the index of paths.
func flipPath(t *testing.T, path string) {
	t.Helper()
	rawDB(t, path, `PRAGMA wal_checkpoint(TRUNCATE)`)
	file, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	for at := 0; ; at++ {
		next := bytes.Index(file[at:], []byte("002.wav"))
		if next < 0 {
			t.Fatal("the row was not found")
		}
		at += next
		file[at] ^= 2 // '0' becomes '2'
		if err := os.WriteFile(path, file, 0o600); err != nil {
			t.Fatal(err)
		}
		if rowPath(t, path) == "202.wav" {
			return
		}
		file[at] ^= 2
	}
}

// rowPath is the path in the row of track 3.
func rowPath(t *testing.T, path string) (p string) {
	t.Helper()
	db, err := sql.Open("sqlite", path)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	if err := db.QueryRow(`SELECT path FROM tracks WHERE id = 3`).Scan(&p); err != nil {
		t.Fatal(err)
	}
	return p
}

// TestFlippedPath: a path that is not what was stored is found by the index of paths, which
// is made anew, so that the row can be changed and the file is recognised by its content.
func TestFlippedPath(t *testing.T) {
	db := stored(t, 8)
	path := db.Path()
	if err := db.Close(); err != nil {
		t.Fatal(err)
	}
	flipPath(t, path)
	again, err := Open(t.Context(), path)
	if err != nil {
		t.Fatal(err)
	}
	db.sql = again.sql // the test closes it
	whole := func() (said string) {
		if err := db.sql.QueryRow(`PRAGMA integrity_check`).Scan(&said); err != nil {
			t.Fatal(err)
		}
		return said
	}
	if whole() == "ok" {
		t.Fatal("the database is not damaged")
	}
	rows, err := db.Rows(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range rows {
		if !r.Current() || (r.ID == 3) != (r.Path == "202.wav") {
			t.Errorf("track %d is %q, current %v", r.ID, r.Path, r.Current())
		}
	}
	if said := whole(); said != "ok" {
		t.Errorf("afterwards: %s", said)
	}
	err = db.Write(t.Context(), func(tx *Tx) error {
		aside, err := tx.SetAside(rows[2])
		if err != nil || !aside {
			t.Errorf("the row can be set aside: %v, error %v", aside, err)
		}
		moved, err := tx.Move(&File{Place: &Place{RootID: rows[2].RootID}, Rel: "002.wav", Path: "002.wav"}, rows[2])
		if !moved {
			t.Error("the row cannot be moved back")
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	if tr := byPath(t, db, "002.wav"); tr.ID != 3 || tr.Error != nil {
		t.Errorf("the track is %d, error %+v", tr.ID, tr.Error)
	}
}

// TestMarksAreWrittenTwice whoever writes them, and a mark that flips is found.
func TestMarksAreWrittenTwice(t *testing.T) {
	db := stored(t, 8)
	before, err := db.SetMarks(t.Context(), []int64{1, 2}, func(m track.Marks) track.Marks {
		m.Reference, m.Status = true, status.Released
		return m
	})
	if err == nil {
		_, err = db.RestoreMarks(t.Context(), map[int64]track.Marks{2: before[2]}, map[int64]track.Marks{2: {Reference: true, Status: status.Released}})
	}
	if err != nil {
		t.Fatal(err)
	}
	rows, err := db.Rows(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	err = db.Write(t.Context(), func(tx *Tx) error {
		_, err := tx.Copy(&File{Place: &Place{RootID: rows[0].RootID}, Rel: "copy.wav", Path: "copy.wav"}, rows[0])
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	if broken, err := db.check(t.Context()); len(broken) > 0 || err != nil {
		t.Errorf("broken %v, error %v", broken, err)
	}
	if copied := byPath(t, db, "copy.wav"); copied.Error != nil || !copied.Marks.Reference || copied.Marks.Status != status.Released {
		t.Errorf("the copy has %+v, error %+v", copied.Marks, copied.Error)
	}
	rawDB(t, db.Path(), `DROP TRIGGER marks_changed`, `UPDATE tracks SET mark_reference = 1 WHERE id = 4`, `UPDATE tracks SET mark_status = 'releaced' WHERE id = 1`)
	if broken, err := db.check(t.Context()); len(broken) != 2 || !broken[1] || !broken[4] || err != nil {
		t.Errorf("broken %v, error %v, want 1 and 4", broken, err)
	}
	for _, tr := range tracksOf(t, db, TrackOptions{}) {
		if (tr.ID == 1 || tr.ID == 4) != (tr.Verdict == standout.Unreadable) || tr.Status == "releaced" {
			t.Errorf("track %d is %s, %s", tr.ID, tr.Verdict, tr.Status)
		}
	}
}

// TestDamagedMarkIsMended by measuring the track anew: a status that cannot be is none.
func TestDamagedMarkIsMended(t *testing.T) {
	db := stored(t, 8)
	rawDB(t, db.Path(), `UPDATE tracks SET mark_status = 'releaced', mark_reference = 1 WHERE id = 3`, `UPDATE tracks SET marks = 'released/1/0' WHERE id = 3`)
	measureAnew(t, db, nil)
	if tr := byPath(t, db, "002.wav"); tr.Error != nil || tr.Marks.Status != "" || !tr.Marks.Reference {
		t.Errorf("marks %+v, error %+v", tr.Marks, tr.Error)
	}
}
