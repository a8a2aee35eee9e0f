package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"

	"dubgauge/library/status"
	"dubgauge/library/track"
)

// SetMarks changes the marks of tracks in one transaction and returns what they
// were before, so that it can be undone. An unknown id changes nothing at all.
// Status and verdicts follow at once: Tracks works them out anew.
func (db *DB) SetMarks(ctx context.Context, ids []int64, change func(track.Marks) track.Marks) (before map[int64]track.Marks, err error) {
	before, _, err = db.MarkBetween(ctx, ids, change)
	return before, err
}

// MarkBetween is SetMarks, and says between which states of the library the marks were set:
// whoever knows what was there in the first knows all of the second.
func (db *DB) MarkBetween(ctx context.Context, ids []int64, change func(track.Marks) track.Marks) (before map[int64]track.Marks, at Between, err error) {
	before = make(map[int64]track.Marks, len(ids))
	err = db.between(ctx, &at, func(tx *Tx) error {
		for _, id := range ids {
			if _, done := before[id]; done {
				continue
			}
			var m track.Marks
			err := tx.row(`SELECT mark_status, mark_reference, mark_ignore FROM tracks WHERE id = ?`, id).
				Scan(&m.Status, &m.Reference, &m.Ignore)
			if errors.Is(err, sql.ErrNoRows) {
				return noTrack(id)
			}
			if err != nil {
				return err
			}
			before[id] = m
			m = change(m)
			if m.Status != "" && m.Status != status.Released && m.Status != status.Unreleased {
				return fmt.Errorf("%q: a mark says %s or %s", m.Status, status.Released, status.Unreleased)
			}
			if err := tx.exec(`UPDATE tracks SET mark_status = ?, mark_reference = ?, mark_ignore = ? WHERE id = ?`,
				string(m.Status), m.Reference, m.Ignore, id); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		return nil, Between{}, err
	}
	return before, at, nil
}

// RestoreMarks sets the marks of tracks back to was in one transaction and says how many
// there were; tracks that are no longer there are passed over. One whose marks are no longer
// those of now was marked by someone else since: then nothing is changed, and the error is
// ErrMarkedSince.
func (db *DB) RestoreMarks(ctx context.Context, was, now map[int64]track.Marks) (restored int, err error) {
	restored, _, err = db.RestoreBetween(ctx, was, now)
	return restored, err
}

// RestoreBetween is RestoreMarks, and says between which states of the library that was.
func (db *DB) RestoreBetween(ctx context.Context, was, now map[int64]track.Marks) (restored int, at Between, err error) {
	err = db.between(ctx, &at, func(tx *Tx) error {
		restored = 0
		for id, m := range was {
			var there track.Marks
			err := tx.row(`SELECT mark_status, mark_reference, mark_ignore FROM tracks WHERE id = ?`, id).
				Scan(&there.Status, &there.Reference, &there.Ignore)
			if errors.Is(err, sql.ErrNoRows) {
				continue
			}
			if err != nil {
				return err
			}
			if there != now[id] {
				return fmt.Errorf("#%d: %w", id, ErrMarkedSince)
			}
			if err := tx.exec(`UPDATE tracks SET mark_status = ?, mark_reference = ?, mark_ignore = ? WHERE id = ?`,
				string(m.Status), m.Reference, m.Ignore, id); err != nil {
				return err
			}
			restored++
		}
		return nil
	})
	if err != nil {
		return 0, Between{}, err
	}
	return restored, at, nil
}
