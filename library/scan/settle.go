package scan

import (
	"context"

	"dubgauge/library/store"
)

// storeRecognised writes what needs no decoding, in one transaction. What
// another scan has changed meanwhile is left to the measuring, which looks
// again.
func (s *scan) storeRecognised(ctx context.Context) error {
	var some bool
	for _, f := range s.files {
		some = some || (f.fate >= revived && f.fate <= copied)
	}
	if !some {
		return nil
	}
	return s.db.Write(ctx, func(tx *store.Tx) error {
		if err := s.setAside(tx); err != nil {
			return err
		}
		for _, f := range s.files {
			if err := ctx.Err(); err != nil {
				return err
			}
			if err := f.store(tx); err != nil {
				return err
			}
		}
		return s.inheritPatterns(tx)
	})
}

// setAside takes the rows that move off their paths, and drops rows whose file was
// overwritten by one that moved there.
func (s *scan) setAside(tx *store.Tx) error {
	for _, f := range s.files {
		if f.fate != moved {
			continue
		}
		there, err := tx.SetAside(f.from)
		if err != nil {
			return err
		}
		if !there {
			f.fate, f.from = measure, nil
			continue
		}
		if f.row != nil && f.row != f.from {
			if err := tx.Drop(f.row); err != nil {
				return err
			}
		}
	}
	return nil
}

// store writes a file that needs no decoding. One whose row is gone, or whose
// path another scan has taken, is measured after all.
func (f *file) store(tx *store.Tx) (err error) {
	done := true
	switch f.fate {
	case revived, touched:
		err = tx.Touch(&f.File, f.row)
	case moved:
		done, err = tx.Move(&f.File, f.from)
	case copied:
		done, err = tx.Copy(&f.File, f.from)
	}
	if !done {
		f.fate, f.from = measure, nil
	}
	return err
}

// inheritPatterns gives a root the patterns of the one that its tracks came from.
func (s *scan) inheritPatterns(tx *store.Tx) error {
	for _, f := range s.files {
		if f.fate != moved || f.from.RootID == f.Place.RootID || f.from.Path != f.Path {
			continue
		}
		if err := tx.InheritPatterns(f.Place.Root, f.from.Root); err != nil {
			return err
		}
	}
	return nil
}
