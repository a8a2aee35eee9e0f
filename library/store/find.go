package store

import (
	"context"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"golang.org/x/text/unicode/norm"

	"dubgauge/detect"
	"dubgauge/library/track"
)

// Find returns the tracks that query means: the number of a track ("#12"), else the
// tracks with exactly this path (on disk or within the library), else those whose path
// ends so, else those with the words in title, artist or path. None is no error. Of each,
// number, place, title and artist are there and nothing else: Track gives the rest.
func (db *DB) Find(ctx context.Context, query string) ([]track.Track, error) {
	if n, ok := strings.CutPrefix(query, "#"); ok {
		if id, err := strconv.ParseInt(n, 10, 64); err == nil {
			var found []track.Track
			return found, db.names(ctx, `t.id = ?`, id, func(t *track.Track) { found = append(found, *t) })
		}
	}
	meanings := matchers(query)
	found := make([][]track.Track, len(meanings))
	err := db.names(ctx, `?`, true, func(t *track.Track) {
		for i, match := range meanings {
			if match(t) {
				found[i] = append(found[i], *t)
			}
		}
	})
	for _, tracks := range found {
		if present := without(tracks, (*track.Track).Missing); len(present) > 0 {
			tracks = present
		}
		if len(tracks) > 0 {
			return tracks, err
		}
	}
	return nil, err
}

// Paths lists the paths of the tracks, as they are stored.
func (db *DB) Paths(ctx context.Context) ([]string, error) {
	var all []string
	return all, db.names(ctx, `t.missing_at IS ?`, nil, func(t *track.Track) { all = append(all, t.Path) })
}

// names hands out of each track for which where holds what Find looks at.
func (db *DB) names(ctx context.Context, where string, arg any, use func(*track.Track)) error {
	rows, err := db.sql.QueryContext(ctx, `SELECT t.id, r.path, t.path, t.disk, t.title, t.artist, coalesce(t.missing_at, 0)
		FROM tracks t JOIN roots r ON r.id = t.root WHERE `+shownRows+` AND `+where+` ORDER BY r.path, t.path`, arg)
	if err != nil {
		return db.explain(err)
	}
	defer rows.Close()
	t := track.Track{Record: track.Record{Measurement: detect.Empty()}}
	for rows.Next() {
		var missing int64
		if err := rows.Scan(&t.ID, &t.Root, &t.Path, &t.Disk, &t.Tags.Title, &t.Tags.Artist, &missing); err != nil {
			return db.explain(err)
		}
		t.MissingSince = time.Time{}
		if missing != 0 {
			t.MissingSince = time.Unix(0, missing)
		}
		use(&t)
	}
	return db.explain(rows.Err())
}

func without(tracks []track.Track, drop func(*track.Track) bool) (kept []track.Track) {
	for _, t := range tracks {
		if !drop(&t) {
			kept = append(kept, t)
		}
	}
	return kept
}

// matchers are the meanings of a query, the narrowest first.
func matchers(query string) []func(*track.Track) bool {
	q := norm.NFC.String(filepath.ToSlash(query))
	abs := ""
	if a, err := filepath.Abs(query); err == nil {
		abs = a
	}
	fold := strings.ToLower(strings.TrimPrefix(q, "./"))
	words := strings.Fields(fold)
	return []func(*track.Track) bool{
		func(t *track.Track) bool { return t.DiskPath() == abs || t.Path == q },
		func(t *track.Track) bool {
			p := strings.ToLower(t.Path)
			return fold != "" && (p == fold || strings.HasSuffix(p, "/"+fold))
		},
		func(t *track.Track) bool {
			text := strings.ToLower(t.Tags.Artist + " " + t.Tags.Title + " " + t.Path)
			for _, w := range words {
				if !strings.Contains(text, w) {
					return false
				}
			}
			return len(words) > 0
		},
	}
}
