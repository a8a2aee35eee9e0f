package store

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"time"

	"dubgauge/detect"
	"dubgauge/detect/standout"
	"dubgauge/library/judge"
	"dubgauge/library/status"
	"dubgauge/library/track"
)

// TrackOptions says which tracks to return and how much of each.
type TrackOptions struct {
	// Full reads the whole record of each track. Without it, the comment, the
	// spectrum, the timeline, the audio's fingerprint and the finer points of
	// tempo and key are empty; tags, figures, faults and verdict are there.
	Full bool
	// IncludeIgnored also returns tracks that are marked to be ignored (their
	// verdict is empty); IncludeMissing those whose file is gone.
	IncludeIgnored, IncludeMissing bool
	// Judge holds the options of the verdicts.
	Judge standout.Options
}

// Tracks returns the tracks of the database ordered by root and path, each with
// its status and what is said of it against the whole database.
func (db *DB) Tracks(ctx context.Context, o TrackOptions) ([]track.Track, error) {
	all, err := db.load(ctx, o)
	if err != nil {
		return nil, err
	}
	kept := slices.DeleteFunc(all, func(t track.Track) bool {
		return (t.Marks.Ignore && !o.IncludeIgnored) || (t.Missing() && !o.IncludeMissing)
	})
	if o.Full {
		return kept, db.fill(ctx, kept)
	}
	return kept, nil
}

// Track returns one track in full, also when it is ignored or missing.
func (db *DB) Track(ctx context.Context, id int64) (track.Track, error) {
	all, err := db.load(ctx, TrackOptions{})
	if err != nil {
		return track.Track{}, err
	}
	for _, t := range all {
		if t.ID == id {
			one := []track.Track{t}
			err := db.fill(ctx, one)
			return one[0], err
		}
	}
	return track.Track{}, noTrack(id)
}

// rowColumns of a track, besides the scalars.
const rowColumns = `t.id, r.path, t.path, t.disk, t.size, t.mtime, t.content, t.whole, t.measured_at, t.missing_at,
	t.mark_status, t.mark_reference, t.mark_ignore`

// load reads every track without its record, with status and judgement.
func (db *DB) load(ctx context.Context, o TrackOptions) ([]track.Track, error) {
	patterns, err := db.patterns(ctx)
	if err != nil {
		return nil, err
	}
	var n int
	if err := db.sql.QueryRowContext(ctx, `SELECT count(*) FROM tracks`).Scan(&n); err != nil {
		return nil, db.explain(err)
	}
	var t track.Track
	cols := scalarColumns(&t)
	rows, err := db.sql.QueryContext(ctx, `SELECT `+rowColumns+`, `+columnNames(cols)+
		` FROM tracks t JOIN roots r ON r.id = t.root ORDER BY r.path, t.path`)
	if err != nil {
		return nil, db.explain(err)
	}
	defer rows.Close()
	var size, mtime, measured int64
	var missing sql.NullInt64
	dest := append([]any{&t.ID, &t.Root, &t.Path, &t.Disk, &size, &mtime, &t.Content, &t.Whole, &measured, &missing,
		&t.Marks.Status, &t.Marks.Reference, &t.Marks.Ignore}, columnFields(cols)...)
	tracks := make([]track.Track, 0, n) // growing would copy what is large by then
	for rows.Next() {
		t = track.Track{Record: track.Record{Measurement: detect.Empty()}}
		if err := rows.Scan(dest...); err != nil {
			return nil, db.explain(err)
		}
		t.Measurement.File.SizeBytes = size
		t.ModTime, t.MeasuredAt = time.Unix(0, mtime), time.Unix(0, measured)
		if missing.Valid {
			t.MissingSince = time.Unix(0, missing.Int64)
		}
		t.Status, t.Evidence = status.Decide(status.Track{Path: t.Path, Tags: &t.Tags, Mark: t.Marks.Status}, patterns.Of(t.Root, t.Path))
		tracks = append(tracks, t)
	}
	if err := rows.Err(); err != nil {
		return nil, db.explain(err)
	}
	judge.Judge(tracks, o.Judge)
	return tracks, nil
}

// fill reads the whole records of tracks.
func (db *DB) fill(ctx context.Context, tracks []track.Track) error {
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
				r := track.Record{Measurement: detect.Empty()}
				err = json.Unmarshal(text, &r)
				t.SetRecord(r)
			}
		}
		if err = errors.Join(err, rows.Err(), rows.Close()); err != nil {
			return fmt.Errorf("%s: the record of %s: %w", db.path, t.Path, err)
		}
	}
	return nil
}
