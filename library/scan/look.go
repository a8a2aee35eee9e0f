package scan

import (
	"context"
	"errors"
	"path/filepath"
	"slices"

	"dubgauge/library/status"
	"dubgauge/library/store"
)

// prepare finds the folders, their roots, and stores the patterns.
func (s *scan) prepare(ctx context.Context, dirs []string) error {
	tops, all, err := resolveDirs(s.o.FS, dirs)
	if err != nil {
		return err
	}
	released, err := status.CleanPatterns(s.o.Released)
	if err != nil {
		return err
	}
	unreleased, err := status.CleanPatterns(s.o.Unreleased)
	if err != nil {
		return err
	}
	return s.db.Write(ctx, func(tx *store.Tx) error {
		for _, dir := range tops {
			p, err := tx.Place(dir)
			if err != nil {
				return err
			}
			s.places = append(s.places, &p)
			if !slices.Contains(s.report.Roots, p.Root) {
				s.report.Roots = append(s.report.Roots, p.Root)
			}
		}
		if s.o.Released == nil && s.o.Unreleased == nil {
			return nil
		}
		for _, dir := range all {
			if err := tx.SetPatterns(status.FolderPatterns{Dir: dir, Released: released, Unreleased: unreleased}); err != nil {
				return err
			}
		}
		return nil
	})
}

// look walks the folders while the database is read.
func (s *scan) look(ctx context.Context) error {
	type answer struct {
		rows []*store.Row
		err  error
	}
	known := make(chan answer, 1)
	go func() {
		rows, err := s.db.Rows(ctx)
		known <- answer{rows, err}
	}()
	var roots []string
	for _, p := range s.places {
		roots = append(roots, p.Dir)
	}
	walkers := make([]*walker, len(s.places))
	others, err := s.db.Roots(ctx)
	if err != nil {
		return err
	}
	others = append(others, roots...)
	total := 0
	for i, p := range s.places {
		walkers[i] = &walker{ctx: ctx, fsys: s.o.FS, root: p.Dir, roots: roots, others: others}
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
			s.unread = append(s.unread, filepath.Join(p.Dir, filepath.FromSlash(u)))
		}
		s.files = append(s.files, match(p, walkers[i].files, s.rows)...)
	}
	s.report.Total = len(s.files)
	s.progress.update(func(pr *Progress) { pr.Total = len(s.files) })
	return nil
}
