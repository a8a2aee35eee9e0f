package library

import (
	"context"
	"database/sql"
	"errors"
	"os"
	"syscall"
	"time"
)

// Scans that run at once on one database share the work: before a track is
// measured it is claimed for the scan's session, and a claim lasts as long as
// the session shows life.
const (
	beatEvery  = time.Second
	deadAfter  = 10 * time.Second // several beats, as a writer may hold the database
	retryEvery = 250 * time.Millisecond
)

// session is this process's scan among others.
type session struct {
	id   int64
	host string
	stop context.CancelFunc
	done chan struct{}
}

// openSession also forgets sessions of scans that were killed.
func (s *scan) openSession(ctx context.Context) (*session, error) {
	host, _ := os.Hostname()
	ss := &session{host: host, done: make(chan struct{})}
	err := s.db.write(ctx, func(tx *sql.Tx) error {
		if err := buryDead(ctx, tx, host); err != nil {
			return err
		}
		r, err := tx.ExecContext(ctx, `INSERT INTO sessions (host, pid, beat) VALUES (?, ?, ?)`, host, os.Getpid(), time.Now().UnixNano())
		if err == nil {
			ss.id, err = r.LastInsertId()
		}
		return err
	})
	if err != nil {
		return nil, err
	}
	beat, stop := context.WithCancel(ctx)
	ss.stop = stop
	go func() {
		defer close(ss.done)
		for {
			select {
			case <-beat.Done():
				return
			case <-time.After(beatEvery):
				// A beat that fails is made up for by the next.
				_ = s.db.write(beat, func(tx *sql.Tx) error {
					_, err := tx.ExecContext(beat, `UPDATE sessions SET beat = ? WHERE id = ?`, time.Now().UnixNano(), ss.id)
					return err
				})
			}
		}
	}()
	return ss, nil
}

// closeSession gives up what is still claimed, also after a cancelled scan.
func (s *scan) closeSession(ss *session) error {
	ss.stop()
	<-ss.done
	ctx, cancel := context.WithTimeout(context.Background(), time.Second)
	defer cancel()
	return s.db.write(ctx, func(tx *sql.Tx) error {
		_, err := tx.ExecContext(ctx, `DELETE FROM sessions WHERE id = ?`, ss.id)
		return err
	})
}

func buryDead(ctx context.Context, tx *sql.Tx, host string) error {
	rows, err := tx.QueryContext(ctx, `SELECT id, host, pid, beat FROM sessions`)
	if err != nil {
		return err
	}
	var dead []int64
	for rows.Next() {
		var id, beat int64
		var pid int
		var where string
		if err := rows.Scan(&id, &where, &pid, &beat); err != nil {
			rows.Close()
			return err
		}
		if time.Since(time.Unix(0, beat)) > deadAfter || (where == host && processGone(pid)) {
			dead = append(dead, id)
		}
	}
	if err := errors.Join(rows.Err(), rows.Close()); err != nil {
		return err
	}
	for _, id := range dead {
		if _, err := tx.ExecContext(ctx, `DELETE FROM sessions WHERE id = ?`, id); err != nil {
			return err
		}
	}
	return nil
}

// processGone tells that no process of this number runs here. Where the system
// does not say, it tells nothing.
func processGone(pid int) bool {
	p, err := os.FindProcess(pid)
	if err != nil {
		return true
	}
	defer p.Release()
	return errors.Is(p.Signal(syscall.Signal(0)), os.ErrProcessDone)
}

// claim results.
type claim int

const (
	ours    claim = iota
	theirs        // another scan is at it
	settled       // another scan has measured it since this one looked
)

func (s *scan) claim(ctx context.Context, ss *session, f *file) (c claim, err error) {
	err = s.db.write(ctx, func(tx *sql.Tx) error {
		c = ours
		var size, mtime, measuredAt int64
		var version int
		var retry, missing bool
		err := tx.QueryRowContext(ctx, `SELECT size, mtime, version, measured_at, missing_at IS NOT NULL,
			coalesce(error_kind IN ('unreadable', 'unsupported'), 0) FROM tracks WHERE root = ? AND path = ?`,
			f.place.rootID, f.path).Scan(&size, &mtime, &version, &measuredAt, &missing, &retry)
		if err != nil && !errors.Is(err, sql.ErrNoRows) {
			return err
		}
		// Not what this scan saw, and up to date: another was here.
		if err == nil && size == f.size && mtime == f.mtime && version == MeasureVersion && !missing &&
			(f.row == nil || measuredAt != f.row.measuredAt) {
			c = settled
			return nil
		}
		var other int64
		err = tx.QueryRowContext(ctx, `SELECT session FROM claims WHERE root = ? AND path = ? AND session <> ?`,
			f.place.rootID, f.path, ss.id).Scan(&other)
		if err == nil {
			if err := buryDead(ctx, tx, ss.host); err != nil {
				return err
			}
			err = tx.QueryRowContext(ctx, `SELECT session FROM claims WHERE root = ? AND path = ? AND session <> ?`,
				f.place.rootID, f.path, ss.id).Scan(&other)
		}
		if err == nil {
			c = theirs
			return nil
		}
		if !errors.Is(err, sql.ErrNoRows) {
			return err
		}
		// A session that was taken for dead (the laptop slept) starts anew.
		if _, err = tx.ExecContext(ctx, `INSERT OR IGNORE INTO sessions (id, host, pid, beat) VALUES (?, ?, ?, ?)`,
			ss.id, ss.host, os.Getpid(), time.Now().UnixNano()); err != nil {
			return err
		}
		_, err = tx.ExecContext(ctx, `INSERT OR REPLACE INTO claims (root, path, session) VALUES (?, ?, ?)`, f.place.rootID, f.path, ss.id)
		return err
	})
	return c, err
}
