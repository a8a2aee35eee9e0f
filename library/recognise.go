package library

import (
	"context"
	"database/sql"
	"errors"
	"io/fs"
	"path/filepath"
	"strconv"
	"sync"
	"sync/atomic"
)

// recognise settles files that are known by their content and stores that.
func (s *scan) recognise(ctx context.Context) error {
	sizes := make(map[int64]bool)
	for _, r := range s.rows {
		if r.content != nil {
			sizes[r.size] = true
		}
	}
	var open []*file
	for _, f := range s.files {
		if f.fate == pending && sizes[f.size] {
			open = append(open, f)
		}
	}
	if err := s.readContents(ctx, open); err != nil {
		return err
	}
	recognise(s.files, s.rows, s.free())
	if err := s.storeRecognised(ctx); err != nil {
		return err
	}
	s.count()
	return nil
}

// readContents fills in the fingerprints of files.
func (s *scan) readContents(ctx context.Context, files []*file) error {
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
				s.readContent(files[i])
			}
		})
	}
	wg.Wait()
	if err := ctx.Err(); err != nil {
		return err
	}
	return s.medium.gone()
}

func (s *scan) readContent(f *file) {
	s.progress.update(func(p *Progress) { p.Current = f.path })
	h, err := s.o.FS.Open(f.disk())
	if err == nil {
		f.content, err = contentOf(h, f.size)
		err = errors.Join(err, h.Close())
	}
	if err != nil {
		f.content = nil
		s.noteMedium(f, err)
		return
	}
	s.medium.good()
}

// disk is the file's absolute path.
func (f *file) disk() string { return filepath.Join(f.place.root, filepath.FromSlash(f.rel)) }

// free tells whether the file of a row is no longer where the row says: not
// found where this scan looked, or not there where it did not.
func (s *scan) free() func(*row) bool {
	found := make(map[*row]bool, len(s.files))
	for _, f := range s.files {
		if f.row != nil && f.fate != pending {
			found[f.row] = true
		}
	}
	rootThere := map[string]bool{}
	return func(r *row) bool {
		if found[r] {
			return false
		}
		if s.reached(r) || r.missing {
			return true
		}
		there, asked := rootThere[r.rootPath]
		if !asked {
			_, err := s.o.FS.Lstat(r.rootPath)
			there = err == nil
			rootThere[r.rootPath] = there
		}
		if !there {
			return true
		}
		_, err := s.o.FS.Lstat(filepath.Join(r.rootPath, filepath.FromSlash(r.disk)))
		return errors.Is(err, fs.ErrNotExist)
	}
}

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
	return s.db.write(ctx, func(tx *sql.Tx) error {
		if err := s.setAside(ctx, tx); err != nil {
			return err
		}
		for _, f := range s.files {
			if err := ctx.Err(); err != nil {
				return err
			}
			if err := storeFate(ctx, tx, f); err != nil {
				return err
			}
		}
		return s.inheritGlobs(ctx, tx)
	})
}

// aside is the path of a row on its way to another: no file name has a NUL.
func aside(id int64) string { return "\x00" + strconv.FormatInt(id, 10) }

// setAside takes the rows that move off their paths, so that names can be
// swapped, and drops rows whose file was overwritten by one that moved there.
func (s *scan) setAside(ctx context.Context, tx *sql.Tx) error {
	for _, f := range s.files {
		if f.fate != moved {
			continue
		}
		res, err := tx.ExecContext(ctx, `UPDATE tracks SET path = ? WHERE id = ? AND root = ? AND path = ?`,
			aside(f.from.id), f.from.id, f.from.root, f.from.path)
		if err != nil {
			return err
		}
		if n, _ := res.RowsAffected(); n == 0 {
			f.fate, f.from = measure, nil
			continue
		}
		if f.row != nil && f.row != f.from {
			if _, err := tx.ExecContext(ctx, `DELETE FROM tracks WHERE id = ? AND root = ? AND path = ?`, f.row.id, f.row.root, f.row.path); err != nil {
				return err
			}
		}
	}
	return nil
}

func storeFate(ctx context.Context, tx *sql.Tx, f *file) error {
	var err error
	switch f.fate {
	case revived, touched:
		_, err = tx.ExecContext(ctx, `UPDATE tracks SET mtime = ?, disk = ?, missing_at = NULL WHERE id = ?`, f.mtime, f.diskColumn(), f.row.id)
	case moved:
		var taken int
		if err = tx.QueryRowContext(ctx, `SELECT count(*) FROM tracks WHERE root = ? AND path = ?`, f.place.rootID, f.path).Scan(&taken); err != nil {
			return err
		}
		if taken > 0 { // another scan was faster
			_, err = tx.ExecContext(ctx, `UPDATE tracks SET root = ?, path = ? WHERE id = ?`, f.from.root, f.from.path, f.from.id)
			f.fate, f.from = measure, nil
			return err
		}
		_, err = tx.ExecContext(ctx, `UPDATE tracks SET root = ?, path = ?, disk = ?, mtime = ?, missing_at = NULL WHERE id = ?`,
			f.place.rootID, f.path, f.diskColumn(), f.mtime, f.from.id)
	case copied:
		err = copyRow(ctx, tx, f)
	}
	return err
}

// diskColumn is NULL where the name is shown as it is on the disk.
func (f *file) diskColumn() any {
	if f.rel == f.path {
		return nil
	}
	return []byte(f.rel)
}

// copyRow gives a file the measurement and the marks of the row that it is a
// copy of. A row that stood at its path keeps its number and its own marks.
func copyRow(ctx context.Context, tx *sql.Tx, f *file) error {
	var t Track
	names := columnNames(scalarColumns(&t))
	sets := ""
	for _, c := range scalarColumns(&t) {
		sets += ", " + c.name + " = excluded." + c.name
	}
	var id int64
	err := tx.QueryRowContext(ctx, `INSERT INTO tracks (root, path, disk, size, mtime, content, version, measured_at,
			mark_status, mark_reference, mark_ignore, `+names+`)
		SELECT ?, ?, ?, size, ?, content, version, measured_at, mark_status, mark_reference, mark_ignore, `+names+`
		FROM tracks WHERE id = ?
		ON CONFLICT (root, path) DO UPDATE SET disk = excluded.disk, size = excluded.size, mtime = excluded.mtime,
			content = excluded.content, version = excluded.version, measured_at = excluded.measured_at, missing_at = NULL`+sets+`
		RETURNING id`,
		f.place.rootID, f.path, f.diskColumn(), f.mtime, f.from.id).Scan(&id)
	if errors.Is(err, sql.ErrNoRows) { // the original was deleted meanwhile
		f.fate, f.from = measure, nil
		return nil
	}
	if err == nil {
		_, err = tx.ExecContext(ctx, `INSERT OR REPLACE INTO records (track, record) SELECT ?, record FROM records WHERE track = ?`, id, f.from.id)
	}
	return err
}

// inheritGlobs gives a new root the patterns of the root that its tracks came
// from, as when a stick is mounted elsewhere.
func (s *scan) inheritGlobs(ctx context.Context, tx *sql.Tx) error {
	for _, f := range s.files {
		if f.fate != moved || f.from.root == f.place.rootID || f.from.path != f.path {
			continue
		}
		if _, err := tx.ExecContext(ctx, `INSERT OR IGNORE INTO globs (dir, released, unreleased)
			SELECT ?, released, unreleased FROM globs WHERE dir = ?`, f.place.root, f.from.rootPath); err != nil {
			return err
		}
	}
	return nil
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
