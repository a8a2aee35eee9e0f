package scan

import (
	"context"
	"fmt"
	"path/filepath"
	"time"

	"dubgauge/library/store"
)

// One measures the file of one track anew, changed or not. The error is that of ctx when
// cancelled, store.ErrNoTrack, a *MediumError when the disk no longer answers, or what the
// system says of the file; a file that is gone is noted as missing.
func One(ctx context.Context, db *store.DB, id int64, o Options) (store.Report, error) {
	s := newScan(db, o)
	start := time.Now()
	err := s.one(ctx, id)
	return s.end(ctx, start, err)
}

func (s *scan) one(ctx context.Context, id int64) error {
	row, err := s.rowOf(ctx, id)
	if err != nil {
		return err
	}
	s.report.Roots = []string{row.Root}
	place := &store.Place{Dir: row.Root, RootID: row.RootID, Root: row.Root}
	f := &file{File: store.File{Place: place, Rel: row.Disk, Path: row.Path}, row: row, fate: measure}
	fi, err := s.o.FS.Stat(f.Disk())
	if err != nil {
		return s.goneAlone(ctx, f, err)
	}
	if !fi.Mode().IsRegular() {
		return fmt.Errorf("%s: %w", filepath.Base(f.Disk()), errNoFile)
	}
	f.Size, f.MTime = fi.Size(), fi.ModTime().UnixNano()
	s.places, s.rows, s.files = []*store.Place{place}, []*store.Row{row}, []*file{f}
	s.report.Total = 1
	s.progress.update(func(p *Progress) { p.Total = 1 })
	if err := s.measure(ctx); err != nil {
		return err
	}
	s.progress.update(func(p *Progress) { p.Phase = Matching })
	return s.db.MatchTunes(ctx)
}

// rowOf is what is known of a track that stands at its path.
func (s *scan) rowOf(ctx context.Context, id int64) (*store.Row, error) {
	rows, err := s.db.Rows(ctx)
	if err != nil {
		return nil, err
	}
	for _, r := range rows {
		if r.ID == id && !r.Displaced {
			return r, nil
		}
	}
	return nil, fmt.Errorf("#%d: %w", id, store.ErrNoTrack)
}

// goneAlone notes that the file of the one track is missing, unless its disk is.
func (s *scan) goneAlone(ctx context.Context, f *file, err error) error {
	if placeGone(s.o.FS, f.Place.Dir) != nil {
		return &MediumError{Root: f.Place.Dir, Err: err}
	}
	if e := s.db.Write(ctx, func(tx *store.Tx) error {
		set, err := tx.SetMissing(f.row, time.Now())
		if set {
			s.report.Missing++
		}
		return err
	}); e != nil {
		return e
	}
	return fmt.Errorf("%s: %s: %w", f.Path, explainOS(err), err)
}
