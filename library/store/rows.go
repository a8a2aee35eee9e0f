package store

import (
	"context"
	"strings"
	"time"

	"dubgauge/library/track"
)

// Row is what the database knows of a file, as far as a scan compares it.
type Row struct {
	ID, RootID  int64
	Root        string
	Path, Disk  string // Disk is the path as on the disk
	Size, MTime int64  // bytes; ns since 1970
	Content     []byte // see track.ContentOf; nil where it is not known
	Whole       []byte // see track.Whole; nil where it is not known
	Format      string
	Missing     bool
	// Displaced: another file has taken the path.
	Displaced bool

	stored string // the path as it stands in the row

	version    int
	measuredAt int64
	// retry: what kept it from being measured may have gone (rights, a decoder
	// that was not installed).
	retry bool
	// damaged: the database has not kept what was stored.
	damaged bool
}

// Current tells that the row's measurement needs no renewal while the file's
// bytes are the same.
func (r *Row) Current() bool { return r.version == track.MeasureVersion && !r.retry && !r.damaged }

// Rows reads what is known of every file, and finds what the database has not kept.
func (db *DB) Rows(ctx context.Context) ([]*Row, error) {
	rows, err := db.sql.QueryContext(ctx, `SELECT t.id, t.root, r.path, t.path, coalesce(t.disk, t.path), t.size, t.mtime, t.content, t.whole,
		t.version, t.measured_at, t.missing_at IS NOT NULL, coalesce(t.error_kind IN ('unreadable', 'unsupported'), 0), t.damaged, t.format
		FROM tracks t JOIN roots r ON r.id = t.root`)
	if err != nil {
		return nil, db.explain(err)
	}
	defer rows.Close()
	var all []*Row
	for rows.Next() {
		r := &Row{}
		if err := rows.Scan(&r.ID, &r.RootID, &r.Root, &r.Path, &r.Disk, &r.Size, &r.MTime, &r.Content, &r.Whole,
			&r.version, &r.measuredAt, &r.Missing, &r.retry, &r.damaged, &r.Format); err != nil {
			return nil, db.explain(err)
		}
		r.stored = r.Path
		r.Path, _, r.Displaced = strings.Cut(r.Path, displacedBy)
		all = append(all, r)
	}
	if err := rows.Err(); err != nil {
		return nil, db.explain(err)
	}
	broken, err := db.check(ctx)
	for _, r := range all {
		r.damaged = r.damaged || broken[r.ID]
	}
	return all, err
}

// SetMissing notes that a row's file is gone, unless the row has changed or has
// been missing since before; it tells whether it did.
func (tx *Tx) SetMissing(r *Row, now time.Time) (bool, error) {
	return tx.changes(`UPDATE tracks SET missing_at = ? WHERE id = ? AND root = ? AND path = ? AND missing_at IS NULL`,
		now.UnixNano(), r.ID, r.RootID, r.stored)
}

// Forget deletes the rows whose files have been missing since before a time.
func (tx *Tx) Forget(before time.Time) error {
	return tx.exec(`DELETE FROM tracks WHERE missing_at < ?`, before.UnixNano())
}
