package store

import (
	"context"
	"path/filepath"

	"dubgauge/library/track"
)

// Place is a folder whose tracks are stored: the root that they are stored under
// and where in it the folder lies.
type Place struct {
	Dir    string // absolute, links resolved
	RootID int64
	Root   string
	Prefix string // as on the disk, ending in "/"; empty for the root itself
}

// Place finds or makes the root of a folder: one that it lies in, or a new one
// that takes in the roots that lie in it.
func (tx *Tx) Place(dir string) (Place, error) {
	roots, err := tx.roots()
	if err != nil {
		return Place{}, err
	}
	for path, id := range roots {
		if path == dir {
			return Place{dir, id, path, ""}, nil
		}
		if track.Below(dir, path) {
			rel, err := filepath.Rel(path, dir)
			return Place{dir, id, path, filepath.ToSlash(rel) + "/"}, err
		}
	}
	r, err := tx.sql.ExecContext(tx.ctx, `INSERT INTO roots (path) VALUES (?)`, dir)
	if err != nil {
		return Place{}, err
	}
	id, err := r.LastInsertId()
	for path, old := range roots {
		if err == nil && track.Below(path, dir) {
			err = tx.takeIn(id, dir, old, path)
		}
	}
	return Place{dir, id, dir, ""}, err
}

// Roots are the folders that tracks are stored under, absolute, links resolved.
func (db *DB) Roots(ctx context.Context) ([]string, error) {
	rows, err := db.sql.QueryContext(ctx, `SELECT path FROM roots ORDER BY path`)
	if err != nil {
		return nil, db.explain(err)
	}
	defer rows.Close()
	var all []string
	for rows.Next() {
		var path string
		if err := rows.Scan(&path); err != nil {
			return nil, db.explain(err)
		}
		all = append(all, path)
	}
	return all, db.explain(rows.Err())
}

func (tx *Tx) roots() (map[string]int64, error) {
	rows, err := tx.sql.QueryContext(tx.ctx, `SELECT id, path FROM roots`)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	roots := map[string]int64{}
	for rows.Next() {
		var id int64
		var path string
		if err := rows.Scan(&id, &path); err != nil {
			return nil, err
		}
		roots[path] = id
	}
	return roots, rows.Err()
}

// Follow takes a file along when another scan has taken its root into the library of a
// folder above.
func (tx *Tx) Follow(f *File) error {
	var there bool
	err := tx.row(`SELECT EXISTS (SELECT 1 FROM roots WHERE id = ? AND path = ?)`, f.Place.RootID, f.Place.Root).Scan(&there)
	if err != nil || there {
		return err
	}
	now, err := tx.Place(f.Place.Dir)
	if err != nil {
		return err
	}
	rel, err := filepath.Rel(now.Root, f.Place.Root)
	if err != nil {
		return err
	}
	if raw := filepath.ToSlash(rel) + "/"; rel != "." {
		f.Rel, f.Path = raw+f.Rel, track.ShownPath(raw)+f.Path
	}
	f.Place = &now
	return nil
}

// takeIn gives the tracks of a root to the root above it.
func (tx *Tx) takeIn(id int64, dir string, old int64, path string) error {
	rel, err := filepath.Rel(dir, path)
	if err != nil {
		return err
	}
	raw := filepath.ToSlash(rel) + "/"
	shown := track.ShownPath(raw)
	disk := any(nil) // names below are shown as they are on the disk
	if shown != raw {
		disk = []byte(raw)
	}
	for _, q := range []struct {
		sql  string
		args []any
	}{
		{`UPDATE tracks SET disk = CAST(? AS BLOB) || coalesce(disk, CAST(path AS BLOB)) WHERE root = ? AND (disk IS NOT NULL OR ? IS NOT NULL)`,
			[]any{[]byte(raw), old, disk}},
		{`UPDATE tracks SET root = ?, path = ? || path WHERE root = ?`, []any{id, shown, old}},
		{`DELETE FROM roots WHERE id = ?`, []any{old}},
	} {
		if err := tx.exec(q.sql, q.args...); err != nil {
			return err
		}
	}
	return nil
}
