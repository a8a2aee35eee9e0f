package library

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"sort"
	"strings"

	"github.com/bmatcuk/doublestar/v4"
	"golang.org/x/text/unicode/norm"
)

// ErrPattern: a pattern for released or unreleased tracks is malformed.
var ErrPattern = errors.New("malformed pattern")

// globSet are the patterns that were given for one folder.
type globSet struct {
	dir                  string // absolute
	released, unreleased []string
}

// globSets are those of the whole database, the deepest folder first.
type globSets []globSet

// of returns what the patterns say of a track. The deepest folder whose
// patterns match decides; when both kinds match there, both are returned.
func (g globSets) of(root, path string) []Evidence {
	for _, s := range g {
		rel, ok := within(s.dir, root, path)
		if !ok {
			continue
		}
		var found []Evidence
		for _, p := range s.released {
			if match, _ := doublestar.Match(p, rel); match {
				found = append(found, Evidence{Released, "the pattern " + p, "glob"})
			}
		}
		for _, p := range s.unreleased {
			if match, _ := doublestar.Match(p, rel); match {
				found = append(found, Evidence{Unreleased, "the pattern " + p, "glob"})
			}
		}
		if found != nil {
			return found
		}
	}
	return nil
}

// within gives the path of root/path relative to dir.
func within(dir, root, path string) (string, bool) {
	if dir == root {
		return path, true
	}
	full := slashed(root) + "/" + path
	return strings.CutPrefix(full, slashed(dir)+"/")
}

// globs reads all patterns.
func (db *DB) globs(ctx context.Context) (globSets, error) {
	rows, err := db.sql.QueryContext(ctx, `SELECT dir, released, unreleased FROM globs`)
	if err != nil {
		return nil, db.explain(err)
	}
	defer rows.Close()
	var sets globSets
	for rows.Next() {
		var s globSet
		var released, unreleased string
		err := rows.Scan(&s.dir, &released, &unreleased)
		err = errors.Join(err, json.Unmarshal([]byte(released), &s.released), json.Unmarshal([]byte(unreleased), &s.unreleased))
		if err != nil {
			return nil, fmt.Errorf("%s: the patterns of %s: %w", db.path, s.dir, err)
		}
		sets = append(sets, s)
	}
	sort.Slice(sets, func(i, j int) bool { return len(sets[i].dir) > len(sets[j].dir) })
	return sets, db.explain(rows.Err())
}

// cleanPatterns checks patterns and brings them to the form of paths in the
// database. Empty ones are dropped, so that an empty one given alone clears.
func cleanPatterns(patterns []string) ([]string, error) {
	clean := []string{}
	for _, p := range patterns {
		p = norm.NFC.String(strings.TrimPrefix(p, "./"))
		if p == "" {
			continue
		}
		if !doublestar.ValidatePattern(p) {
			return nil, fmt.Errorf("%q: %w: * stands for any name, ** for any folders, {a,b} for either", p, ErrPattern)
		}
		if strings.HasSuffix(p, "/") {
			p += "**" // a folder means all that is in it
		}
		clean = append(clean, p)
	}
	return clean, nil
}

// storeGlobs remembers the patterns of a folder in place of those it had.
func storeGlobs(ctx context.Context, tx *sql.Tx, dir string, released, unreleased []string) error {
	if len(released)+len(unreleased) == 0 {
		_, err := tx.ExecContext(ctx, `DELETE FROM globs WHERE dir = ?`, dir)
		return err
	}
	r, _ := json.Marshal(released)
	u, _ := json.Marshal(unreleased)
	_, err := tx.ExecContext(ctx, `INSERT OR REPLACE INTO globs (dir, released, unreleased) VALUES (?, ?, ?)`, dir, string(r), string(u))
	return err
}
