// Package scan brings the database up to date with folders of music: it walks
// them, recognises what was moved, and measures what is new. The files are only
// ever read.
package scan

import (
	"context"
	"runtime"
	"sync"
	"time"

	"dubgauge/decode"
	"dubgauge/library/store"
	"dubgauge/library/track"
)

// Run brings the database up to date with the folders dirs: it measures what
// is new or changed, recognises what was moved or renamed, and marks what is
// missing. Each track is stored as soon as it is measured, so that a scan that
// is cancelled or killed goes on from there the next time; scans of several
// processes on one database share the work.
//
// The error is that of ctx when cancelled, a *MediumError when the disk no
// longer answers, or one about a folder, a pattern or the database; the report
// is right for what was done.
func Run(ctx context.Context, db *store.DB, dirs []string, o Options) (store.Report, error) {
	s := newScan(db, o)
	start := time.Now()
	err := s.run(ctx, dirs)
	return s.end(ctx, start, err)
}

// newScan is a run with its options filled in.
func newScan(db *store.DB, o Options) *scan {
	if o.FS == nil {
		o.FS = OS
	}
	if o.measure == nil {
		o.measure = func(ctx context.Context, fsys FS, path string, progress func(float64)) (track.Record, error, error) {
			return measureFile(ctx, fsys, path, decode.Options{Verify: o.Verify}, progress)
		}
	}
	if o.Workers <= 0 {
		o.Workers = runtime.GOMAXPROCS(0)
	}
	s := &scan{db: db, o: o, report: store.Report{Problems: []store.Problem{}}}
	s.progress = newTracker(o.Progress)
	return s
}

// end is the report of a run that began at start and ended with err.
func (s *scan) end(ctx context.Context, start time.Time, err error) (store.Report, error) {
	s.progress.close()
	p := s.progress.snapshot()
	s.report.AudioSeconds, s.report.Elapsed = p.AudioSeconds, time.Since(start)
	if ctx.Err() != nil {
		err = ctx.Err()
	}
	return s.report, err
}

// scan is one run.
type scan struct {
	db       *store.DB
	o        Options
	progress *tracker
	places   []*store.Place
	rows     []*store.Row
	files    []*file
	unread   []string // places on the disk that could not be looked at, absolute
	mounts   []mount
	stay     map[*store.Place]stay

	mu     sync.Mutex // guards what follows
	report store.Report
	medium medium
	late   []*file // that changed while they were measured
}

func (s *scan) run(ctx context.Context, dirs []string) error {
	if err := s.prepare(ctx, dirs); err != nil {
		return err
	}
	if err := s.look(ctx); err != nil {
		return err
	}
	compare(s.files, s.again)
	if err := s.recognise(ctx); err != nil {
		return err
	}
	if err := s.measure(ctx); err != nil {
		return err
	}
	return s.finish(ctx)
}

// again tells that a row is measured anew though its file is as it was.
func (s *scan) again(r *store.Row) bool {
	return s.o.Again || !r.Current() || (s.o.Verify && r.Format == "flac")
}
