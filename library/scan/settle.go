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
			if err := s.storeKnown(tx, f); err != nil {
				return err
			}
		}
		if err := s.takeAlong(tx); err != nil {
			return err
		}
		return s.inheritPatterns(tx)
	})
}

// setAside takes the rows that move off their paths, and displaces rows whose file was
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
			if err := tx.Displace(f.row); err != nil {
				return err
			}
		}
	}
	return nil
}

// storeKnown writes a file that needs no decoding. One whose row is gone, or whose
// path another scan has taken, is measured after all.
func (s *scan) storeKnown(tx *store.Tx, f *file) (err error) {
	done := true
	if f.fate >= revived && f.fate <= copied {
		if err := tx.Follow(&f.File); err != nil {
			return err
		}
	}
	switch f.fate {
	case revived, touched:
		err = tx.Touch(&f.File, f.row)
	case moved:
		done, err = tx.Move(&f.File, f.from)
	case copied:
		now, found, e := tx.Sketch(f.from)
		if e == nil && found {
			e = s.makeRoom(tx, f, &now)
		}
		if err = e; err == nil {
			done, err = tx.Copy(&f.File, f.from)
		}
	}
	if !done {
		f.fate, f.from = measure, nil
	}
	return err
}

// mount is a root whose tracks turned up in another place.
type mount struct {
	root int64
	to   *store.Place
}

// takeAlong gives the rows of a root that is mounted elsewhere now, and whose files
// were not recognised there, to the new place: what was saved anew keeps its marks, and
// the rest is missing there.
func (s *scan) takeAlong(tx *store.Tx) error {
	for _, m := range s.mounts {
		if m.to.Prefix != "" {
			continue
		}
		files, taken := s.settledAt(m.to)
		for _, r := range s.rows {
			if r.RootID != m.root || taken[r] || !s.rootGone(r.Root) {
				continue
			}
			if err := rehome(tx, r, files[r.Disk], m.to); err != nil {
				return err
			}
		}
	}
	return nil
}

// settledAt are the files of a place by their path, and the rows that moved to files.
func (s *scan) settledAt(p *store.Place) (files map[string]*file, taken map[*store.Row]bool) {
	files, taken = map[string]*file{}, map[*store.Row]bool{}
	for _, f := range s.files {
		if f.Place == p {
			files[f.Rel] = f
		}
		if f.from != nil && f.fate == moved {
			taken[f.from] = true
		}
	}
	return files, taken
}

// rehome gives a row to a place, and to the file f that is at its path there and has yet
// to be measured; f may be nil.
func rehome(tx *store.Tx, r *store.Row, f *file, to *store.Place) error {
	if f != nil && (f.row != nil || f.fate != measure) {
		return nil
	}
	done, err := tx.Rehome(r, to)
	if done && f != nil {
		f.row = r
	}
	return err
}

// rootGone tells that nothing is mounted any more where a root was.
func (s *scan) rootGone(root string) bool {
	_, err := s.o.FS.Lstat(root)
	return err != nil
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
