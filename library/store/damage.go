package store

import (
	"bytes"
	"context"
	"database/sql"
	"math/rand/v2"

	"dubgauge/detect"
	"dubgauge/detect/reason"
	"dubgauge/library/status"
	"dubgauge/library/track"
)

// A byte that flips in the database file where SQLite cannot see it makes one track
// unreadable, and a scan measures that one anew; the others are as they were.

// recordDamaged is said of a track whose row or record is not what was stored.
const recordDamaged = "its record in the database is damaged"

// marksTwice is what the column marks holds while the marks of a row t are what was
// stored. Triggers write it; a byte that flips in either shows.
const marksTwice = `(t.mark_status || '/' || t.mark_reference || '/' || t.mark_ignore)`

// indexed tells of a row t that its path is the one that the index of paths holds, which is
// its second copy: SQLite compares them for nobody.
const indexed = `EXISTS (SELECT 1 FROM tracks i INDEXED BY sqlite_autoindex_tracks_1 WHERE i.root = t.root AND i.path = t.path AND i.id = t.id)`

// noSum is no checksum of anything.
var noSum = []byte{}

// damaged leaves of a track what is not measured: its path, its number, its marks.
func damaged(t *track.Track) {
	t.Content, t.Whole = nil, nil
	if t.Marks.Status != status.Released && t.Marks.Status != status.Unreleased {
		t.Marks.Status = ""
	}
	r := track.Record{Path: t.Path, Measurement: detect.Empty()}
	r.Measurement.Error = &detect.Problem{Kind: reason.ProblemRecord, Detail: recordDamaged}
	t.Record = r
}

// noteDamaged has the next scan measure tracks anew. A database that cannot be written
// to is read all the same.
func (db *DB) noteDamaged(ctx context.Context, ids []int64) {
	if len(ids) == 0 || db.readOnly {
		return
	}
	_ = db.Write(ctx, func(tx *Tx) error {
		for _, id := range ids {
			if err := tx.exec(`UPDATE tracks SET damaged = 1 WHERE id = ? AND damaged = 0`, id); err != nil {
				return err
			}
		}
		return nil
	})
}

// checkMost is how many tracks a scan holds against their checksums: all of a stick,
// and of a larger library other ones each time, as 20,000 would take half a second.
// What is listed, shown or exported is checked in any case.
var checkMost int64 = 4000 // fewer in a test

// check holds rows and records against their checksums and returns the numbers of the
// tracks of which one is not what was stored.
func (db *DB) check(ctx context.Context) (map[int64]bool, error) {
	var n, last int64
	if err := db.sql.QueryRowContext(ctx, `SELECT count(*), coalesce(max(id), 0) FROM tracks`).Scan(&n, &last); err != nil {
		return nil, db.explain(err)
	}
	from := int64(0)
	if n > checkMost {
		from = rand.Int64N(last+checkMost) - checkMost
	}
	c := &checked{broken: map[int64]bool{}, rows: map[int64][]byte{}, records: map[int64][]byte{}}
	err := db.checkRows(ctx, from, c)
	if err == nil {
		err = db.checkRecords(ctx, from, c)
	}
	if err == nil {
		err = db.storeSums(ctx, c)
	}
	if err == nil && c.lost {
		db.renewIndex(ctx)
	}
	return c.broken, db.explain(err)
}

// renewIndex makes the index of paths anew, by which a row with another path than it had
// could not be changed. The scan then finds the file under the path that it always had, as
// one that was moved. Where two rows have one path now, nothing can be done.
func (db *DB) renewIndex(ctx context.Context) {
	_ = db.Write(ctx, func(tx *Tx) error { return tx.exec(`REINDEX sqlite_autoindex_tracks_1`) })
}

// checked is what a check found: the tracks that are broken, and the checksums of those
// that have none yet, as they were stored before there were any.
type checked struct {
	broken        map[int64]bool
	rows, records map[int64][]byte
	lost          bool // a row is not where the index of paths has it
}

// hold holds the checksum of a track against the one that is stored.
func (c *checked) hold(id int64, stored, now []byte, missing map[int64][]byte) {
	switch {
	case stored == nil:
		missing[id] = now
	case !bytes.Equal(stored, now):
		c.broken[id] = true
	}
}

// storeSums gives checksums to what has none. A database that cannot be written to is
// read all the same.
func (db *DB) storeSums(ctx context.Context, c *checked) error {
	if db.readOnly || len(c.rows)+len(c.records) == 0 {
		return nil
	}
	return db.Write(ctx, func(tx *Tx) error {
		for query, sums := range map[string]map[int64][]byte{
			`UPDATE tracks SET sum = ? WHERE id = ? AND sum IS NULL`:     c.rows,
			`UPDATE records SET sum = ? WHERE track = ? AND sum IS NULL`: c.records,
		} {
			for id, sum := range sums {
				if err := tx.exec(query, sum, id); err != nil {
					return err
				}
			}
		}
		return nil
	})
}

// passed takes a value for its checksum alone.
type passed struct{ d *digest }

func (p passed) Scan(src any) error { p.d.add(src); return nil }

func (db *DB) checkRows(ctx context.Context, from int64, c *checked) error {
	cols := columnNames(scalarColumns(&track.Track{}))
	rows, err := db.sql.QueryContext(ctx, `SELECT id, sum, marks = `+marksTwice+`, `+indexed+`, `+summedColumns+`, `+cols+` FROM tracks t
		WHERE id > ? ORDER BY id LIMIT ?`, from, checkMost)
	if err != nil {
		return err
	}
	defer rows.Close()
	names, err := rows.Columns()
	if err != nil {
		return err
	}
	var id int64
	var sum sql.RawBytes
	d := newDigest()
	var marked, found bool
	dest := []any{&id, &sum, &marked, &found}
	for range names[len(dest):] {
		dest = append(dest, passed{d})
	}
	for rows.Next() {
		d.reset()
		if err := rows.Scan(dest...); err != nil {
			return err
		}
		c.hold(id, sum, d.sum(), c.rows)
		c.lost = c.lost || !found
		if !marked {
			c.broken[id] = true
		}
	}
	return rows.Err()
}

func (db *DB) checkRecords(ctx context.Context, from int64, c *checked) error {
	rows, err := db.sql.QueryContext(ctx, `SELECT track, record, sum FROM records
		WHERE track > ? ORDER BY track LIMIT ?`, from, checkMost)
	if err != nil {
		return err
	}
	defer rows.Close()
	var id int64
	var text, sum sql.RawBytes
	for rows.Next() {
		if err := rows.Scan(&id, &text, &sum); err != nil {
			return err
		}
		c.hold(id, sum, recordSum(text), c.records)
	}
	return rows.Err()
}
