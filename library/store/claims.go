package store

import (
	"context"
	"database/sql"
	"errors"
	"os"
	"time"

	"dubgauge/library/track"
)

// Claim is the answer to a claim.
type Claim int

// The answers.
const (
	Ours    Claim = iota
	Theirs        // another scan is at it
	Settled       // another scan has measured it since this one looked
)

// Claim claims a file that is to be measured; known is its row as this scan saw
// it, nil when there was none.
func (s *Session) Claim(ctx context.Context, f *File, known *Row) (c Claim, err error) {
	err = s.db.Write(ctx, func(tx *Tx) error {
		if err := tx.Follow(f); err != nil {
			return err
		}
		if done, err := tx.settled(f, known); err != nil || done {
			c = Settled
			return err
		}
		if taken, err := s.taken(tx, f); err != nil || taken {
			c = Theirs
			return err
		}
		c = Ours
		// A session that was taken for dead (the laptop slept) starts anew.
		if err := tx.exec(`INSERT OR IGNORE INTO sessions (id, host, pid, beat) VALUES (?, ?, ?, ?)`,
			s.id, s.host, os.Getpid(), time.Now().UnixNano()); err != nil {
			return err
		}
		return tx.exec(`INSERT OR REPLACE INTO claims (root, path, session) VALUES (?, ?, ?)`, f.Place.RootID, f.Path, s.id)
	})
	if err != nil {
		c = Ours
	}
	return c, err
}

// settled tells that the row is up to date and not as this scan saw it: another
// was here.
func (tx *Tx) settled(f *File, known *Row) (bool, error) {
	var size, mtime, measuredAt int64
	var version int
	var missing bool
	err := tx.row(`SELECT size, mtime, version, measured_at, missing_at IS NOT NULL FROM tracks WHERE root = ? AND path = ?`,
		f.Place.RootID, f.Path).Scan(&size, &mtime, &version, &measuredAt, &missing)
	if errors.Is(err, sql.ErrNoRows) {
		return false, nil
	}
	return size == f.Size && mtime == f.MTime && version == track.MeasureVersion && !missing &&
		(known == nil || measuredAt != known.measuredAt), err
}

// taken tells that another scan, which is alive, has claimed the file.
func (s *Session) taken(tx *Tx, f *File) (bool, error) {
	claimed := func() (taken bool, err error) {
		err = tx.row(`SELECT EXISTS (SELECT 1 FROM claims WHERE root = ? AND path = ? AND session <> ?)`,
			f.Place.RootID, f.Path, s.id).Scan(&taken)
		return taken, err
	}
	taken, err := claimed()
	if err != nil || !taken {
		return false, err
	}
	if err := s.buryDead(tx); err != nil {
		return false, err
	}
	return claimed()
}

// GiveUp ends the claim on a file.
func (tx *Tx) GiveUp(f *File) error {
	return tx.exec(`DELETE FROM claims WHERE root = ? AND path = ?`, f.Place.RootID, f.Path)
}
