package library

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"io/fs"
	"sync"
	"time"

	"dubgauge/detect"
	"dubgauge/detect/reason"
)

// measure decodes what is left, by several workers. Tracks that another scan is
// at are waited for at the end.
func (s *scan) measure(ctx context.Context) error {
	var todo []*file
	for _, f := range s.files {
		if f.fate == measure {
			todo = append(todo, f)
		}
	}
	s.progress.measuring(todo)
	if len(todo) == 0 {
		return nil
	}
	ss, err := s.openSession(ctx)
	if err != nil {
		return err
	}
	for len(todo) > 0 && err == nil {
		before := len(todo)
		if todo, err = s.measureAll(ctx, ss, todo); err == nil && len(todo) == before {
			select {
			case <-ctx.Done():
				err = ctx.Err()
			case <-time.After(retryEvery):
			}
		}
	}
	if err == nil {
		err = s.storeBad(ctx, ss, s.medium.good())
	}
	return errors.Join(err, s.closeSession(ss))
}

// measureAll runs the workers over files once and returns those that another
// scan has claimed.
func (s *scan) measureAll(ctx context.Context, ss *session, files []*file) (later []*file, err error) {
	ctx, cancel := context.WithCancelCause(ctx)
	defer cancel(nil)
	queue := make(chan *file)
	var wg sync.WaitGroup
	for n := range s.o.Workers {
		wg.Go(func() {
			for f := range queue {
				c, err := s.work(ctx, ss, n, f)
				if err != nil {
					cancel(err)
				}
				if c == theirs {
					s.mu.Lock()
					later = append(later, f)
					s.mu.Unlock()
				}
			}
		})
	}
feed:
	for _, f := range files {
		select {
		case queue <- f:
		case <-ctx.Done():
			break feed
		}
	}
	close(queue)
	wg.Wait()
	if ctx.Err() != nil {
		return later, context.Cause(ctx)
	}
	return later, nil
}

// work measures one file and stores it.
func (s *scan) work(ctx context.Context, ss *session, worker int, f *file) (claim, error) {
	if err := ctx.Err(); err != nil {
		return ours, err
	}
	c, err := s.claim(ctx, ss, f)
	if err != nil || c == theirs {
		return c, err
	}
	if c == settled {
		s.book(worker, f, 0, func(r *Report, p *Progress) { r.Unchanged++; p.Unchanged++ })
		return c, nil
	}
	s.progress.update(func(p *Progress) { p.Current = f.path })
	r, medium, err := s.o.measure(ctx, s.o.FS, f.disk(), func(sec float64) { s.progress.decoding(worker, sec) })
	if err != nil {
		return c, err
	}
	r.Path = f.path
	if isMedium(medium) {
		return c, s.failed(ctx, ss, worker, f, r, medium)
	}
	if f.content == nil && medium == nil {
		if err := s.fingerprint(f); isMedium(err) {
			return c, s.failed(ctx, ss, worker, f, unreadable(r, err), err)
		}
	}
	if err := s.storeBad(ctx, ss, s.medium.good()); err != nil {
		return c, err
	}
	return c, s.store(ctx, worker, f, &r)
}

func (s *scan) fingerprint(f *file) error {
	h, err := s.o.FS.Open(f.disk())
	if err != nil {
		return err
	}
	f.content, err = contentOf(h, f.size)
	return errors.Join(err, h.Close())
}

func unreadable(r Record, err error) Record {
	path := r.Path
	r = Record{Path: path, Tags: r.Tags, Measurement: detect.Empty()}
	r.Measurement.Error = &detect.Problem{Kind: reason.ProblemUnreadable, Detail: explainOS(err)}
	return r
}

// failed deals with a file that the disk did not give: deleted while the scan
// ran, lost with the whole disk, or bad by itself, which only the files after it
// can tell.
func (s *scan) failed(ctx context.Context, ss *session, worker int, f *file, r Record, err error) error {
	if _, e := s.o.FS.Stat(f.place.dir); e != nil {
		s.medium.fail(f.place.dir, err, nil)
		return s.medium.gone()
	}
	if errors.Is(err, fs.ErrNotExist) {
		s.mu.Lock()
		s.report.Problems = append(s.report.Problems, Problem{f.disk(), "was moved or deleted while the scan ran"})
		s.mu.Unlock()
		s.book(worker, f, 0, func(r *Report, p *Progress) {})
		return nil
	}
	s.medium.fail(f.place.dir, err, &mediumFault{f, r})
	s.progress.finished(worker, f, 0, func(p *Progress) {})
	return s.medium.gone()
}

// storeBad stores files whose own fault it was that they could not be read.
func (s *scan) storeBad(ctx context.Context, ss *session, bad []*mediumFault) error {
	for _, b := range bad {
		b.f.content = nil
		if err := s.store(ctx, -1, b.f, &b.record); err != nil {
			return err
		}
	}
	return nil
}

// store writes a measured track and gives up the claim.
func (s *scan) store(ctx context.Context, worker int, f *file, r *Record) error {
	// Finish the write of what is measured even when the scan is cancelled now.
	ctx = context.WithoutCancel(ctx)
	err := s.db.write(ctx, func(tx *sql.Tx) error {
		if err := putRecord(ctx, tx, f, r); err != nil {
			return err
		}
		_, err := tx.ExecContext(ctx, `DELETE FROM claims WHERE root = ? AND path = ?`, f.place.rootID, f.path)
		return err
	})
	if err != nil {
		return err
	}
	seconds := 0.0
	if r.File.DurationS.Exists() {
		seconds = float64(r.File.DurationS)
	}
	count := func(rep *Report, p *Progress) {
		rep.Measured++
		p.Measured++
		if r.Error != nil {
			rep.Failed++
			p.Failed++
		}
	}
	if worker < 0 { // its work was booked when it failed
		s.mu.Lock()
		defer s.mu.Unlock()
		s.progress.update(func(p *Progress) { p.Done++; count(&s.report, p) })
		return nil
	}
	s.book(worker, f, seconds, count)
	return nil
}

func (s *scan) book(worker int, f *file, seconds float64, count func(*Report, *Progress)) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.progress.finished(worker, f, seconds, func(p *Progress) { p.Done++; count(&s.report, p) })
}

// putRecord inserts or renews the row of a file. Marks are kept.
func putRecord(ctx context.Context, tx *sql.Tx, f *file, r *Record) error {
	t := &Track{Record: *r}
	cols := scalarColumns(t)
	names := "root, path, disk, size, mtime, content, version, measured_at"
	args := []any{f.place.rootID, f.path, f.diskColumn(), f.size, f.mtime, f.content, MeasureVersion, time.Now().UnixNano()}
	sets := "disk = excluded.disk, size = excluded.size, mtime = excluded.mtime, content = excluded.content, " +
		"version = excluded.version, measured_at = excluded.measured_at, missing_at = NULL"
	marks := "?, ?, ?, ?, ?, ?, ?, ?"
	for _, c := range cols {
		names += ", " + c.name
		marks += ", ?"
		sets += ", " + c.name + " = excluded." + c.name
	}
	for _, v := range columnFields(cols) {
		if s, ok := v.(*string); ok {
			v = *s
		}
		args = append(args, v)
	}
	var id int64
	err := tx.QueryRowContext(ctx, `INSERT INTO tracks (`+names+`) VALUES (`+marks+`)
		ON CONFLICT (root, path) DO UPDATE SET `+sets+` RETURNING id`, args...).Scan(&id)
	if err != nil {
		return err
	}
	text, err := json.Marshal(r)
	if err != nil {
		return err
	}
	_, err = tx.ExecContext(ctx, `INSERT OR REPLACE INTO records (track, record) VALUES (?, ?)`, id, string(text))
	return err
}
