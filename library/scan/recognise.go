package scan

import (
	"context"
	"errors"
	"io/fs"
	"path/filepath"
	"sync"
	"sync/atomic"

	"dubgauge/library/store"
	"dubgauge/library/track"
)

// recognise settles files that are known by their content and stores that.
func (s *scan) recognise(ctx context.Context) error {
	if err := s.believeClock(ctx); err != nil {
		return err
	}
	if err := s.believeMount(ctx); err != nil {
		return err
	}
	if err := s.readUnknown(ctx); err != nil {
		return err
	}
	recognise(s.files, s.rows, s.free())
	s.stay = s.stays()
	if err := s.storeRecognised(ctx); err != nil {
		return err
	}
	s.count()
	return nil
}

// readUnknown fills in the fingerprints of files that may be what a row says, and
// where one has that fingerprint, their hash: samples find candidates, and only every
// byte decides.
func (s *scan) readUnknown(ctx context.Context) error {
	sizes, prints := map[int64]bool{}, map[string]bool{}
	for _, r := range s.rows {
		if r.Content != nil {
			sizes[r.Size] = true
			prints[string(r.Content)] = prints[string(r.Content)] || r.Whole != nil
		}
	}
	var open []*file
	for _, f := range s.files {
		if f.fate == pending && f.Content == nil && sizes[f.Size] {
			open = append(open, f)
		}
	}
	return s.readContents(ctx, open, func(f *file) error {
		if err := s.readSamples(f); err != nil || !prints[string(f.Content)] {
			return err
		}
		return s.sum(ctx, f, track.NewWhole(f.Size))
	})
}

// readContents reads of files what read reads.
func (s *scan) readContents(ctx context.Context, files []*file, read func(*file) error) error {
	if len(files) == 0 {
		return nil
	}
	s.progress.update(func(p *Progress) { p.Phase = Comparing })
	var next atomic.Int64
	var wg sync.WaitGroup
	for range s.o.Workers {
		wg.Go(func() {
			for ctx.Err() == nil && !s.stopped() {
				i := int(next.Add(1)) - 1
				if i >= len(files) {
					return
				}
				// What fails here fails again when it is measured, and is told then.
				s.readContent(files[i], read)
			}
		})
	}
	wg.Wait()
	if err := ctx.Err(); err != nil {
		return err
	}
	return s.medium.gone()
}

func (s *scan) readContent(f *file, read func(*file) error) {
	s.progress.update(func(p *Progress) { p.Current = f.Path })
	if err := read(f); err != nil {
		f.Content, f.Whole = nil, nil
		s.noteMedium(f, err)
		return
	}
	s.medium.good()
}

// readSamples fills in the fingerprint of a file.
func (s *scan) readSamples(f *file) error {
	h, err := s.o.FS.Open(f.Disk())
	if err != nil {
		return err
	}
	f.Content, err = track.ContentOf(h, f.Size)
	return errors.Join(err, h.Close())
}

// sum fills in the hash of a file, of which w has what was read before.
func (s *scan) sum(ctx context.Context, f *file, w *track.Whole) error {
	h, err := s.o.FS.Open(f.Disk())
	if err != nil {
		return err
	}
	f.Whole, err = w.Sum(h, func() error {
		if err := ctx.Err(); err != nil {
			return err
		}
		return s.medium.gone()
	})
	return errors.Join(err, h.Close())
}

// hash fills in the hash and the fingerprint.
func (s *scan) hash(ctx context.Context, f *file, w *track.Whole) error {
	if err := s.sum(ctx, f, w); err != nil {
		return err
	}
	return s.readSamples(f)
}

// free tells whether the file of a row is no longer where the row says: not
// found where this scan looked, or not there where it did not.
func (s *scan) free() func(*store.Row) bool {
	found := make(map[*store.Row]bool, len(s.files))
	for _, f := range s.files {
		if f.row != nil && f.fate != pending {
			found[f.row] = true
		}
	}
	rootThere := map[string]bool{}
	return func(r *store.Row) bool {
		if found[r] {
			return false
		}
		if s.reached(r) || r.Missing {
			return true
		}
		there, asked := rootThere[r.Root]
		if !asked {
			there = !s.rootGone(r.Root)
			rootThere[r.Root] = there
		}
		if !there {
			return true
		}
		_, err := s.o.FS.Lstat(filepath.Join(r.Root, filepath.FromSlash(r.Disk)))
		return errors.Is(err, fs.ErrNotExist)
	}
}

// count books what needs no decoding. A row that is recognised but outdated is
// measured all the same.
func (s *scan) count() {
	for _, f := range s.files {
		if f.fate == measure {
			continue
		}
		if f.from != nil && s.again(f.from) {
			if f.fate == moved {
				f.row = f.from
			}
			f.fate = measure
			continue
		}
		switch f.fate {
		case moved:
			s.report.Moved++
		case copied:
			s.report.Copied++
		default:
			s.report.Unchanged++
		}
	}
	r := &s.report
	s.progress.update(func(p *Progress) {
		p.Unchanged, p.Moved = r.Unchanged, r.Moved+r.Copied
		p.Done = p.Unchanged + p.Moved
	})
}
