package library

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
)

// SetMarks changes the marks of tracks in one transaction and returns what they
// were before, so that it can be undone. An unknown id changes nothing at all.
// Status and verdicts follow at once: Tracks works them out anew.
func (db *DB) SetMarks(ctx context.Context, ids []int64, change func(Marks) Marks) (before map[int64]Marks, err error) {
	before = make(map[int64]Marks, len(ids))
	err = db.write(ctx, func(tx *sql.Tx) error {
		for _, id := range ids {
			if _, done := before[id]; done {
				continue
			}
			var m Marks
			err := tx.QueryRowContext(ctx, `SELECT mark_status, mark_reference, mark_ignore FROM tracks WHERE id = ?`, id).
				Scan(&m.Status, &m.Reference, &m.Ignore)
			if errors.Is(err, sql.ErrNoRows) {
				return fmt.Errorf("#%d: %w: `dubgauge list` shows what there is", id, ErrNoTrack)
			}
			if err != nil {
				return err
			}
			before[id] = m
			m = change(m)
			if m.Status != "" && m.Status != Released && m.Status != Unreleased {
				return fmt.Errorf("%q: a mark says %s or %s", m.Status, Released, Unreleased)
			}
			if _, err := tx.ExecContext(ctx, `UPDATE tracks SET mark_status = ?, mark_reference = ?, mark_ignore = ? WHERE id = ?`,
				string(m.Status), m.Reference, m.Ignore, id); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	return before, nil
}
