package store

import (
	"bytes"
	"context"
	"slices"

	"github.com/cespare/xxhash/v2"

	"dubgauge/detect/fingerprint"
)

// printHash is what a print goes by. It is a checksum, too: a print that is damaged in
// the file does not have it.
func printHash(print []byte) int64 { return int64(xxhash.Sum64(print)) }

// printField is how the print begins in the JSON of a record. No text can hold that: its
// quotes are escaped.
var printField = []byte(`,"tune_print":"`)

// withoutPrint is the JSON of a record without the print; text stays as it is.
func withoutPrint(text []byte) []byte {
	at := bytes.Index(text, printField)
	if at < 0 {
		return text
	}
	behind := bytes.IndexByte(text[at+len(printField):], '"')
	if behind < 0 {
		return text
	}
	return append(slices.Clone(text[:at]), text[at+len(printField)+behind+1:]...)
}

// putPrint stores the print of a track; nil is none.
func (tx *Tx) putPrint(track int64, print []byte) error {
	if print == nil {
		return tx.exec(`DELETE FROM prints WHERE track = ?`, track)
	}
	put, err := tx.often(`INSERT OR REPLACE INTO prints (track, hash, print) VALUES (?, ?, ?)`)
	if err == nil {
		_, err = put.ExecContext(tx.ctx, track, printHash(print), print)
	}
	return err
}

// copyPrint gives a track the print of another.
func (tx *Tx) copyPrint(track, from int64) error {
	if err := tx.exec(`DELETE FROM prints WHERE track = ?`, track); err != nil {
		return err
	}
	return tx.exec(`INSERT INTO prints (track, hash, print) SELECT ?, hash, print FROM prints WHERE track = ?`, track, from)
}

// newPrints are the hashes of the prints that were not matched with all others yet.
func (db *DB) newPrints(ctx context.Context) ([]int64, error) {
	rows, err := db.sql.QueryContext(ctx, `SELECT DISTINCT hash FROM prints WHERE hash NOT IN (SELECT hash FROM matched) ORDER BY hash`)
	if err != nil {
		return nil, db.explain(err)
	}
	defer rows.Close()
	var all []int64
	for rows.Next() {
		var h int64
		if err := rows.Scan(&h); err != nil {
			return nil, db.explain(err)
		}
		all = append(all, h)
	}
	return all, db.explain(rows.Err())
}

// eachPrint calls f with every print from one hash up to another, both included, once,
// in the order of their hashes; damaged ones are left out.
func (db *DB) eachPrint(ctx context.Context, from, to int64, f func(hash int64, p fingerprint.Print) error) error {
	rows, err := db.sql.QueryContext(ctx, `SELECT hash, print FROM prints WHERE hash BETWEEN ? AND ? ORDER BY hash`, from, to)
	if err != nil {
		return db.explain(err)
	}
	defer rows.Close()
	last, any := int64(0), false
	for rows.Next() {
		var hash int64
		var print []byte
		if err := rows.Scan(&hash, &print); err != nil {
			return db.explain(err)
		}
		if any && hash == last {
			continue
		}
		p, err := fingerprint.FromBytes(print)
		if err != nil || printHash(print) != hash {
			continue
		}
		last, any = hash, true
		if err := f(hash, p); err != nil {
			return err
		}
	}
	return db.explain(rows.Err())
}
