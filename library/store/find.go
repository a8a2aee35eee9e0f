package store

import (
	"context"
	"errors"
	"path/filepath"
	"strconv"
	"strings"

	"golang.org/x/text/unicode/norm"

	"dubgauge/library/track"
)

// Find returns the tracks in full that query means: the number of a track
// ("#12"), else the tracks with exactly this path (on disk or within the
// library), else those whose path ends so, else those with the words in title,
// artist or path. None is no error.
func (db *DB) Find(ctx context.Context, query string) ([]track.Track, error) {
	if n, ok := strings.CutPrefix(query, "#"); ok {
		if id, err := strconv.ParseInt(n, 10, 64); err == nil {
			t, err := db.Track(ctx, id)
			if errors.Is(err, ErrNoTrack) {
				return nil, nil
			}
			return []track.Track{t}, err
		}
	}
	all, err := db.load(ctx, TrackOptions{})
	if err != nil {
		return nil, err
	}
	for _, match := range matchers(query) {
		var found []track.Track
		for _, t := range all {
			if match(&t) {
				found = append(found, t)
			}
		}
		if present := without(found, (*track.Track).Missing); len(present) > 0 {
			found = present
		}
		if len(found) > 0 {
			return found, db.fill(ctx, found)
		}
	}
	return nil, nil
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
