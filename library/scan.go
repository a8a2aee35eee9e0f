package library

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"runtime"
	"slices"
	"strings"
	"sync"
	"time"

	"dubgauge/decode"
)

// Scan brings the database up to date with the folders dirs: it measures what
// is new or changed, recognises what was moved or renamed, and marks what is
// missing. Each track is stored as soon as it is measured, so that a scan that
// is cancelled or killed goes on from there the next time; scans of several
// processes on one database share the work.
//
// The error is that of ctx when cancelled, a *MediumError when the disk no
// longer answers, or one about a folder, a pattern or the database; the report
// is right for what was done.
func Scan(ctx context.Context, db *DB, dirs []string, o ScanOptions) (Report, error) {
	if o.FS == nil {
		o.FS = OS
	}
	if o.measure == nil {
		o.measure = func(ctx context.Context, fsys FS, path string, progress func(float64)) (Record, error, error) {
			return measureFile(ctx, fsys, path, decode.Options{Verify: o.Verify}, progress)
		}
	}
	if o.Workers <= 0 {
		o.Workers = runtime.GOMAXPROCS(0)
	}
	s := &scan{db: db, o: o, report: Report{Problems: []Problem{}}}
	s.progress = newTracker(o.Progress)
	start := time.Now()
	err := s.run(ctx, dirs)
	s.progress.close()
	p := s.progress.snapshot()
	s.report.AudioSeconds, s.report.Elapsed = p.AudioSeconds, time.Since(start)
	if ctx.Err() != nil {
		err = ctx.Err()
	}
	return s.report, err
}

// scan is one run of Scan.
type scan struct {
	db       *DB
	o        ScanOptions
	progress *tracker
	places   []*place
	rows     []*row
	files    []*file
	unread   []string // places on the disk that could not be looked at, absolute

	mu     sync.Mutex // guards what follows
	report Report
	medium medium
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

// prepare finds the folders, their roots, and stores the patterns.
func (s *scan) prepare(ctx context.Context, dirs []string) error {
	tops, all, err := resolveDirs(s.o.FS, dirs)
	if err != nil {
		return err
	}
	released, err := cleanPatterns(s.o.Released)
	if err != nil {
		return err
	}
	unreleased, err := cleanPatterns(s.o.Unreleased)
	if err != nil {
		return err
	}
	return s.db.write(ctx, func(tx *sql.Tx) error {
		for _, dir := range tops {
			p, err := s.db.place(ctx, tx, dir)
			if err != nil {
				return err
			}
			s.places = append(s.places, &p)
			if !slices.Contains(s.report.Roots, p.root) {
				s.report.Roots = append(s.report.Roots, p.root)
			}
		}
		if s.o.Released == nil && s.o.Unreleased == nil {
			return nil
		}
		for _, dir := range all {
			if err := storeGlobs(ctx, tx, dir, released, unreleased); err != nil {
				return err
			}
		}
		return nil
	})
}

// look walks the folders while the database is read.
func (s *scan) look(ctx context.Context) error {
	type answer struct {
		rows []*row
		err  error
	}
	known := make(chan answer, 1)
	go func() {
		rows, err := s.db.rows(ctx)
		known <- answer{rows, err}
	}()
	var roots []string
	for _, p := range s.places {
		roots = append(roots, p.dir)
	}
	walkers := make([]*walker, len(s.places))
	var err error
	total := 0
	for i, p := range s.places {
		walkers[i] = &walker{ctx: ctx, fsys: s.o.FS, root: p.dir, roots: roots}
		walkers[i].onFound = func(n int) { s.progress.update(func(pr *Progress) { pr.Total = total + n }) }
		if err == nil {
			err = walkers[i].walk()
			total += len(walkers[i].files)
		}
	}
	k := <-known
	if err = errors.Join(err, k.err); err != nil {
		return err
	}
	s.rows = k.rows
	for i, p := range s.places {
		s.report.Problems = append(s.report.Problems, walkers[i].problems...)
		for _, u := range walkers[i].unread {
			s.unread = append(s.unread, slashed(p.dir)+"/"+u)
		}
		s.files = append(s.files, match(p, walkers[i].files, s.rows)...)
	}
	s.report.Total = len(s.files)
	s.progress.update(func(pr *Progress) { pr.Total = len(s.files) })
	return nil
}

// again tells that a row is measured anew though its file is as it was.
func (s *scan) again(r *row) bool {
	return s.o.Again || !r.current() || (s.o.Verify && r.format == "flac")
}

// finish marks what is missing and forgets what has been so for long.
func (s *scan) finish(ctx context.Context) error {
	here := make(map[*row]bool, len(s.files))
	for _, f := range s.files {
		if f.row != nil {
			here[f.row] = true
		}
		if f.from != nil && f.fate != copied {
			here[f.from] = true
		}
	}
	var gone []*row
	for _, r := range s.rows {
		if !here[r] && !r.missing && s.reached(r) {
			gone = append(gone, r)
		}
	}
	for _, p := range s.places {
		if n := s.unmounted(p, gone); n > 0 {
			gone = slices.DeleteFunc(gone, func(r *row) bool { return r.root == p.rootID })
			s.report.Problems = append(s.report.Problems, Problem{p.dir,
				fmt.Sprintf("this folder is empty where there were %d tracks: is the disk plugged in? they were kept as they are", n)})
		}
	}
	return s.db.write(ctx, func(tx *sql.Tx) error {
		now := time.Now()
		for _, r := range gone {
			res, err := tx.ExecContext(ctx, `UPDATE tracks SET missing_at = ? WHERE id = ? AND root = ? AND path = ? AND missing_at IS NULL`,
				now.UnixNano(), r.id, r.root, r.path)
			if err != nil {
				return err
			}
			if n, _ := res.RowsAffected(); n > 0 {
				s.report.Missing++
			}
		}
		_, err := tx.ExecContext(ctx, `DELETE FROM tracks WHERE missing_at < ?`, now.Add(-forgetAfter).UnixNano())
		return err
	})
}

// forgetAfter is how long the row of a missing file is kept, so that its marks
// are still there when the file turns up again.
const forgetAfter = 365 * 24 * time.Hour

// reached tells that the scan looked at the place where a row's file should be.
func (s *scan) reached(r *row) bool {
	for _, p := range s.places {
		if r.root != p.rootID || !strings.HasPrefix(r.disk, p.prefix) {
			continue
		}
		full := slashed(p.root) + "/" + r.disk
		for _, u := range s.unread {
			if full == u || strings.HasPrefix(full, u+"/") {
				return false
			}
		}
		return true
	}
	return false
}

// unmounted counts the tracks that would go missing in a place that has nothing
// at all in it, as an empty mount point has.
func (s *scan) unmounted(p *place, gone []*row) (n int) {
	for _, r := range gone {
		if r.root == p.rootID && strings.HasPrefix(r.disk, p.prefix) {
			n++
		}
	}
	if n == 0 {
		return 0
	}
	if entries, err := s.o.FS.ReadDir(p.dir); err == nil && len(entries) > 0 {
		return 0
	}
	return n
}
