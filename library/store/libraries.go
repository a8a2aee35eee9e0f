package store

import (
	"context"
	"database/sql"
	"time"

	"dubgauge/detect/standout"
	"dubgauge/library/track"
)

// Library is a root with what is known of it. Counts leave out tracks that are ignored and
// those whose file is gone.
type Library struct {
	Root    string // absolute, links resolved
	Tracks  int
	Out     int       // of them, those to check, held back or unreadable
	Scanned time.Time // the end of the last scan; zero where none came to its end
}

// Libraries lists the roots that have tracks or were scanned to the end, in the order of
// their paths; verdicts are those of the options.
func (db *DB) Libraries(ctx context.Context, o standout.Options) ([]Library, error) {
	all, err := db.scannedRoots(ctx)
	if err != nil {
		return nil, err
	}
	place := make(map[string]int, len(all))
	for i, l := range all {
		place[l.Root] = i
	}
	err = db.Each(ctx, TrackOptions{Brief: true, Judge: o}, func(t *track.Track) error {
		i, ok := place[t.Root]
		if !ok {
			return nil // scanned since
		}
		all[i].Tracks++
		if t.Verdict != standout.Ready {
			all[i].Out++
		}
		return nil
	})
	return all, err
}

func (db *DB) scannedRoots(ctx context.Context) ([]Library, error) {
	rows, err := db.sql.QueryContext(ctx, `SELECT r.path, s.at FROM roots r LEFT JOIN scans s ON s.root = r.id
		WHERE s.at IS NOT NULL OR EXISTS (SELECT 1 FROM tracks WHERE root = r.id) ORDER BY r.path`)
	if err != nil {
		return nil, db.explain(err)
	}
	defer rows.Close()
	var all []Library
	for rows.Next() {
		var l Library
		var at sql.NullInt64
		if err := rows.Scan(&l.Root, &at); err != nil {
			return nil, db.explain(err)
		}
		if at.Valid {
			l.Scanned = time.Unix(0, at.Int64)
		}
		all = append(all, l)
	}
	return all, db.explain(rows.Err())
}

// NoteScan writes down that a root was scanned to the end.
func (tx *Tx) NoteScan(root string, at time.Time) error {
	return tx.exec(`INSERT OR REPLACE INTO scans (root, at) SELECT id, ? FROM roots WHERE path = ?`, at.UnixNano(), root)
}
