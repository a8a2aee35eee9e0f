package store

import (
	"context"
	"errors"
	"os"
	"syscall"
	"time"
)

// Scans that run at once on one database share the work: before a track is
// measured it is claimed for the scan's session, and a claim lasts as long as
// the session shows life.
const beatEvery = time.Second

// deadAfter is several beats, as a writer may hold the database.
var deadAfter = 10 * time.Second // shorter in a test

// Session is this process's scan among others.
type Session struct {
	db   *DB
	id   int64
	host string
	stop context.CancelFunc
	done chan struct{}
	// seen are the beats of other sessions and when each was first seen; only touched
	// while the database is held for writing.
	seen map[int64]beat
}

type beat struct {
	at    int64 // as its session wrote it, ns since 1970 by its clock
	since time.Time
}

// OpenSession also forgets sessions of scans that were killed.
func (db *DB) OpenSession(ctx context.Context) (*Session, error) {
	host, _ := os.Hostname()
	s := &Session{db: db, host: host, done: make(chan struct{}), seen: map[int64]beat{}}
	err := db.Write(ctx, func(tx *Tx) error {
		if err := s.buryDead(tx); err != nil {
			return err
		}
		r, err := tx.sql.ExecContext(ctx, `INSERT INTO sessions (host, pid, beat) VALUES (?, ?, ?)`, host, os.Getpid(), time.Now().UnixNano())
		if err == nil {
			s.id, err = r.LastInsertId()
		}
		return err
	})
	if err != nil {
		return nil, err
	}
	ctx, s.stop = context.WithCancel(ctx)
	go s.beat(ctx)
	return s, nil
}

// beat shows life until ctx ends.
func (s *Session) beat(ctx context.Context) {
	defer close(s.done)
	for {
		select {
		case <-ctx.Done():
			return
		case <-time.After(beatEvery):
			// A beat that fails is made up for by the next.
			_ = s.db.Write(ctx, func(tx *Tx) error {
				return tx.exec(`UPDATE sessions SET beat = ? WHERE id = ?`, time.Now().UnixNano(), s.id)
			})
		}
	}
}

// Close gives up what is still claimed, also after a cancelled scan. Where another
// writer is in the way it does not wait for long: claims without life lapse by
// themselves, and all that was measured is stored.
func (s *Session) Close() error {
	s.stop()
	<-s.done
	ctx, cancel := context.WithTimeout(context.Background(), time.Second)
	defer cancel()
	err := s.db.Write(ctx, func(tx *Tx) error { return tx.exec(`DELETE FROM sessions WHERE id = ?`, s.id) })
	if e := (*Error)(nil); errors.Is(err, context.DeadlineExceeded) || errors.As(err, &e) && e.Trouble == Busy {
		return nil
	}
	return err
}

// buryDead forgets sessions without life, and with them their claims.
func (s *Session) buryDead(tx *Tx) error {
	rows, err := tx.sql.QueryContext(tx.ctx, `SELECT id, host, pid, beat FROM sessions`)
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
		if s.silent(id, beat) || (where == s.host && processGone(pid)) {
			dead = append(dead, id)
		}
	}
	if err := errors.Join(rows.Err(), rows.Close()); err != nil {
		return err
	}
	for _, id := range dead {
		if err := tx.exec(`DELETE FROM sessions WHERE id = ?`, id); err != nil {
			return err
		}
	}
	return nil
}

// silent tells that a session has shown no life for long: by its beat, or, as that may
// lie ahead where a clock was set back, by its beat not changing while we look on.
func (s *Session) silent(id, at int64) bool {
	known, ok := s.seen[id]
	if !ok || known.at != at {
		known = beat{at, time.Now()}
		s.seen[id] = known
	}
	return time.Since(time.Unix(0, at)) > deadAfter || time.Since(known.since) > deadAfter
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
