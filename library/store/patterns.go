package store

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"

	"dubgauge/library/status"
)

// patterns reads all patterns.
func (v *view) patterns() (status.Patterns, error) {
	rows, err := v.tx.QueryContext(v.ctx, `SELECT dir, released, unreleased FROM globs`)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var sets status.Patterns
	for rows.Next() {
		var s status.FolderPatterns
		var released, unreleased string
		err := rows.Scan(&s.Dir, &released, &unreleased)
		err = errors.Join(err, json.Unmarshal([]byte(released), &s.Released), json.Unmarshal([]byte(unreleased), &s.Unreleased))
		if err != nil {
			return nil, fmt.Errorf("%s: the patterns of %s: %w", v.db.path, s.Dir, err)
		}
		sets = append(sets, s)
	}
	sets.Sort()
	return sets, rows.Err()
}

// SetPatterns stores which tracks below dir are released and which are not, as patterns relative
// to it; with neither it leaves what is stored.
func (d *DB) SetPatterns(ctx context.Context, dir string, released, unreleased []string) error {
	if released == nil && unreleased == nil {
		return nil
	}
	p := status.FolderPatterns{}
	var err error
	if p.Dir, err = resolved(dir); err != nil {
		return err
	}
	if p.Released, err = status.CleanPatterns(released); err != nil {
		return err
	}
	if p.Unreleased, err = status.CleanPatterns(unreleased); err != nil {
		return err
	}
	return d.Write(ctx, func(tx *Tx) error { return tx.SetPatterns(p) })
}

// SetPatterns remembers the patterns of a folder in place of those it had.
func (tx *Tx) SetPatterns(p status.FolderPatterns) error {
	if len(p.Released)+len(p.Unreleased) == 0 {
		return tx.exec(`DELETE FROM globs WHERE dir = ?`, p.Dir)
	}
	released, _ := json.Marshal(p.Released)
	unreleased, _ := json.Marshal(p.Unreleased)
	return tx.exec(`INSERT OR REPLACE INTO globs (dir, released, unreleased) VALUES (?, ?, ?)`, p.Dir, string(released), string(unreleased))
}

// InheritPatterns gives a new root the patterns of the root that its tracks came
// from, as when a stick is mounted elsewhere.
func (tx *Tx) InheritPatterns(root, from string) error {
	return tx.exec(`INSERT OR IGNORE INTO globs (dir, released, unreleased)
		SELECT ?, released, unreleased FROM globs WHERE dir = ?`, root, from)
}
