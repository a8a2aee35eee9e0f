package library

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"
	"sort"
	"strings"
)

// ErrNotFolder: what was to be scanned is no folder.
var ErrNotFolder = errors.New("not a folder")

// place is a folder to scan: the root that its tracks are stored under and
// where in it the folder lies.
type place struct {
	dir    string // absolute, links resolved
	rootID int64
	root   string
	prefix string // as on the disk, ending in "/"; empty for the root itself
}

// resolveDirs turns what was given into folders of which none lies in another.
// all also has those that do, for their patterns.
func resolveDirs(fsys FS, dirs []string) (tops, all []string, err error) {
	if len(dirs) == 0 {
		return nil, nil, fmt.Errorf("no folder was given: `dubgauge scan DIR`")
	}
	for _, d := range dirs {
		abs, err := filepath.Abs(d)
		if err != nil {
			return nil, nil, fmt.Errorf("%s: %w", d, err)
		}
		fi, err := fsys.Stat(abs)
		switch {
		case errors.Is(err, fs.ErrNotExist):
			return nil, nil, fmt.Errorf("%s: there is no such folder: check the name, and that the disk is plugged in: %w", d, fs.ErrNotExist)
		case err != nil:
			return nil, nil, fmt.Errorf("%s: cannot be read: %s: %w", d, explainOS(err), err)
		case !fi.IsDir():
			return nil, nil, fmt.Errorf("%s: %w: `dubgauge measure` takes files", d, ErrNotFolder)
		}
		real, err := fsys.Resolve(abs)
		if err != nil {
			return nil, nil, fmt.Errorf("%s: cannot be read: %s: %w", d, explainOS(err), err)
		}
		all = append(all, real)
	}
	sort.Strings(all)
	for _, d := range all {
		inside := false
		for _, t := range tops {
			inside = inside || d == t || isBelow(d, t)
		}
		if !inside {
			tops = append(tops, d)
		}
	}
	return tops, all, nil
}

// isBelow tells that path lies in the folder dir.
func isBelow(path, dir string) bool {
	return strings.HasPrefix(path, strings.TrimSuffix(dir, string(filepath.Separator))+string(filepath.Separator))
}

// place finds or makes the root of a folder: one that it lies in, or a new one
// that takes in the roots that lie in it.
func (db *DB) place(ctx context.Context, tx *sql.Tx, dir string) (place, error) {
	roots, err := rootsOf(ctx, tx)
	if err != nil {
		return place{}, err
	}
	for path, id := range roots {
		if path == dir {
			return place{dir, id, path, ""}, nil
		}
		if isBelow(dir, path) {
			rel, err := filepath.Rel(path, dir)
			return place{dir, id, path, filepath.ToSlash(rel) + "/"}, err
		}
	}
	r, err := tx.ExecContext(ctx, `INSERT INTO roots (path) VALUES (?)`, dir)
	if err != nil {
		return place{}, err
	}
	id, err := r.LastInsertId()
	for path, old := range roots {
		if err == nil && isBelow(path, dir) {
			err = takeIn(ctx, tx, id, dir, old, path)
		}
	}
	return place{dir, id, dir, ""}, err
}

func rootsOf(ctx context.Context, tx *sql.Tx) (map[string]int64, error) {
	rows, err := tx.QueryContext(ctx, `SELECT id, path FROM roots`)
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

// takeIn gives the tracks of a root to the root above it.
func takeIn(ctx context.Context, tx *sql.Tx, id int64, dir string, old int64, path string) error {
	rel, err := filepath.Rel(dir, path)
	if err != nil {
		return err
	}
	raw := filepath.ToSlash(rel) + "/"
	shown := shownPath(raw)
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
		if _, err := tx.ExecContext(ctx, q.sql, q.args...); err != nil {
			return err
		}
	}
	return nil
}
