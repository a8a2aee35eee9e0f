package library

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"time"

	"golang.org/x/text/unicode/norm"

	"dubgauge/detect"
	"dubgauge/detect/standout"
)

// ErrNoTrack: no track of that number is in the database.
var ErrNoTrack = errors.New("no such track")

// TrackOptions says which tracks to return and how much of each.
type TrackOptions struct {
	// Full reads the whole record of each track. Without it, the comment, the
	// spectrum, the timeline, the audio's fingerprint and the finer points of
	// tempo and key are empty; tags, figures, faults and verdict are there.
	Full bool
	// IncludeIgnored also returns tracks that are marked to be ignored (their
	// verdict is empty); IncludeMissing those whose file is gone.
	IncludeIgnored, IncludeMissing bool
	// Root keeps to the tracks of one library, an absolute path. References
	// still come from all.
	Root string
	// Judge holds the options of the verdicts.
	Judge standout.Options
}

// Tracks returns the tracks of the database ordered by root and path, each with
// its status and what is said of it against the whole database.
func (db *DB) Tracks(ctx context.Context, o TrackOptions) ([]Track, error) {
	all, err := db.load(ctx, o)
	if err != nil {
		return nil, err
	}
	kept := slices.DeleteFunc(all, func(t Track) bool {
		return (t.Marks.Ignore && !o.IncludeIgnored) || (t.Missing() && !o.IncludeMissing) || (o.Root != "" && t.Root != o.Root)
	})
	if o.Full {
		return kept, db.fill(ctx, kept)
	}
	return kept, nil
}

// Track returns one track in full, also when it is ignored or missing.
func (db *DB) Track(ctx context.Context, id int64) (Track, error) {
	all, err := db.load(ctx, TrackOptions{})
	if err != nil {
		return Track{}, err
	}
	for _, t := range all {
		if t.ID == id {
			one := []Track{t}
			err := db.fill(ctx, one)
			return one[0], err
		}
	}
	return Track{}, fmt.Errorf("#%d: %w: `dubgauge list` shows what there is", id, ErrNoTrack)
}

// Find returns the tracks in full that query means: the number of a track
// ("#12"), else the tracks with exactly this path (on disk or within the
// library), else those whose path ends so, else those with the words in title,
// artist or path. None is no error.
func (db *DB) Find(ctx context.Context, query string) ([]Track, error) {
	if n, ok := strings.CutPrefix(query, "#"); ok {
		if id, err := strconv.ParseInt(n, 10, 64); err == nil {
			t, err := db.Track(ctx, id)
			if errors.Is(err, ErrNoTrack) {
				return nil, nil
			}
			return []Track{t}, err
		}
	}
	all, err := db.load(ctx, TrackOptions{})
	if err != nil {
		return nil, err
	}
	for _, match := range matchers(query) {
		var found []Track
		for _, t := range all {
			if match(&t) {
				found = append(found, t)
			}
		}
		if present := without(found, (*Track).Missing); len(present) > 0 {
			found = present
		}
		if len(found) > 0 {
			return found, db.fill(ctx, found)
		}
	}
	return nil, nil
}

func without(tracks []Track, drop func(*Track) bool) (kept []Track) {
	for _, t := range tracks {
		if !drop(&t) {
			kept = append(kept, t)
		}
	}
	return kept
}

// matchers are the meanings of a query, the narrowest first.
func matchers(query string) []func(*Track) bool {
	q := norm.NFC.String(filepath.ToSlash(query))
	abs := ""
	if a, err := filepath.Abs(query); err == nil {
		abs = a
	}
	fold := strings.ToLower(strings.TrimPrefix(q, "./"))
	words := strings.Fields(fold)
	return []func(*Track) bool{
		func(t *Track) bool { return t.DiskPath() == abs || t.Path == q },
		func(t *Track) bool {
			p := strings.ToLower(t.Path)
			return fold != "" && (p == fold || strings.HasSuffix(p, "/"+fold))
		},
		func(t *Track) bool {
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

// rowColumns of a track, besides the scalars.
const rowColumns = `t.id, r.path, t.path, t.disk, t.size, t.mtime, t.content, t.measured_at, t.missing_at,
	t.mark_status, t.mark_reference, t.mark_ignore`

// load reads every track without its record, with status and judgement.
func (db *DB) load(ctx context.Context, o TrackOptions) ([]Track, error) {
	globs, err := db.globs(ctx)
	if err != nil {
		return nil, err
	}
	var n int
	if err := db.sql.QueryRowContext(ctx, `SELECT count(*) FROM tracks`).Scan(&n); err != nil {
		return nil, db.explain(err)
	}
	var t Track
	cols := scalarColumns(&t)
	rows, err := db.sql.QueryContext(ctx, `SELECT `+rowColumns+`, `+columnNames(cols)+
		` FROM tracks t JOIN roots r ON r.id = t.root ORDER BY r.path, t.path`)
	if err != nil {
		return nil, db.explain(err)
	}
	defer rows.Close()
	var size, mtime, measured int64
	var missing sql.NullInt64
	dest := append([]any{&t.ID, &t.Root, &t.Path, &t.disk, &size, &mtime, &t.content, &measured, &missing,
		&t.Marks.Status, &t.Marks.Reference, &t.Marks.Ignore}, columnFields(cols)...)
	tracks := make([]Track, 0, n) // growing would copy what is large by then
	for rows.Next() {
		t = Track{Record: Record{Measurement: detect.Empty()}}
		if err := rows.Scan(dest...); err != nil {
			return nil, db.explain(err)
		}
		t.Measurement.File.SizeBytes = size
		t.ModTime, t.MeasuredAt = time.Unix(0, mtime), time.Unix(0, measured)
		if missing.Valid {
			t.MissingSince = time.Unix(0, missing.Int64)
		}
		t.Status, t.Evidence = decide(&t, globs.of(t.Root, t.Path))
		tracks = append(tracks, t)
	}
	if err := rows.Err(); err != nil {
		return nil, db.explain(err)
	}
	judge(tracks, o.Judge)
	return tracks, nil
}

// fill reads the whole records of tracks.
func (db *DB) fill(ctx context.Context, tracks []Track) error {
	st, err := db.sql.PrepareContext(ctx, `SELECT record FROM records WHERE track = ?`)
	if err != nil {
		return db.explain(err)
	}
	defer st.Close()
	for i := range tracks {
		t := &tracks[i]
		var text sql.RawBytes
		rows, err := st.QueryContext(ctx, t.ID)
		if err != nil {
			return db.explain(err)
		}
		for rows.Next() {
			if err = rows.Scan(&text); err == nil {
				path := t.Path
				t.Record = Record{Measurement: detect.Empty()}
				err = json.Unmarshal(text, &t.Record)
				t.Path = path
				t.Faults = append(t.Faults, t.extra...)
			}
		}
		if err = errors.Join(err, rows.Err(), rows.Close()); err != nil {
			return fmt.Errorf("%s: the record of %s: %w", db.path, t.Path, err)
		}
	}
	return nil
}
