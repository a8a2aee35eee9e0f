package scan

import (
	"context"
	"errors"
	"sync"
	"time"

	"dubgauge/library/store"
	"dubgauge/library/track"
)

// retryEvery is how long a scan waits for others that are at the last tracks.
const retryEvery = 250 * time.Millisecond

// measure decodes what is left, by several workers. Tracks that another scan is
// at are waited for at the end.
func (s *scan) measure(ctx context.Context) error {
	var todo []*file
	for _, f := range s.files {
		if f.fate == measure {
			todo = append(todo, f)
		}
	}
	if len(todo) == 0 {
		s.progress.measuring(todo)
		return nil
	}
	longFirst(todo)
	all := todo
	todo, twin, err := s.twins(ctx, all)
	if err != nil {
		return err
	}
	s.progress.measuring(todo)
	ss, err := s.db.OpenSession(ctx)
	if err != nil {
		return err
	}
	if err = s.measureEach(ctx, ss, todo); err == nil {
		todo, err = s.storeTwins(ctx, all, twin)
		s.progress.more(todo)
	}
	if err == nil {
		err = s.measureEach(ctx, ss, todo)
	}
	if err == nil {
		err = s.measureLate(ctx, ss)
	}
	if err == nil {
		err = s.storeBad(ctx, ss, s.medium.good())
	}
	return errors.Join(err, ss.Close())
}

// measureEach measures files; those that another scan is at are waited for.
func (s *scan) measureEach(ctx context.Context, ss *store.Session, files []*file) (err error) {
	for len(files) > 0 && err == nil {
		before := len(files)
		if files, err = s.measureAll(ctx, ss, files); err == nil && len(files) == before {
			err = pause(ctx, retryEvery)
		}
	}
	return err
}

// measureAll runs the workers over files once and returns those that another
// scan has claimed.
func (s *scan) measureAll(ctx context.Context, ss *store.Session, files []*file) (later []*file, err error) {
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
				if c == store.Theirs {
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
func (s *scan) work(ctx context.Context, ss *store.Session, worker int, f *file) (store.Claim, error) {
	if err := ctx.Err(); err != nil {
		return store.Ours, err
	}
	c, err := ss.Claim(ctx, &f.File, f.row)
	if err != nil || c == store.Theirs {
		return c, err
	}
	if c == store.Settled {
		s.book(worker, f, 0, func(r *store.Report, p *Progress) { r.Unchanged++; p.Unchanged++ })
		return c, nil
	}
	s.progress.update(func(p *Progress) { p.Current = f.Path })
	if err := awaitStamp(ctx, f); err != nil {
		return c, err
	}
	w := track.NewWhole(f.Size)
	r, medium, err := s.o.measure(ctx, hashing{s.o.FS, w}, f.Disk(), func(sec float64) { s.progress.decoding(worker, sec) })
	if err != nil {
		return c, err
	}
	r.Path = f.Path
	if medium == nil {
		if err = s.hash(ctx, f, w); ctx.Err() != nil {
			return c, ctx.Err()
		}
	}
	if s.changed(f) {
		s.putOff(worker, f)
		return c, nil
	}
	if isMedium(medium) {
		return c, s.failed(ctx, ss, worker, f, r, medium)
	}
	if isMedium(err) {
		return c, s.failed(ctx, ss, worker, f, unreadable(r, err), err)
	}
	if err := s.storeBad(ctx, ss, s.medium.good()); err != nil {
		return c, err
	}
	return c, s.store(ctx, worker, f, &r)
}
