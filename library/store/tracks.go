package store

import (
	"bytes"
	"context"
	"database/sql"
	"encoding/json"
	"fmt"
	"slices"
	"time"

	"dubgauge/detect"
	"dubgauge/detect/reason"
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

// rowColumns of a track; behind them come those that its checksum is over, of which
// summedColumns are the first and the scalars the rest.
const (
	rowColumns = `t.id, r.path, t.path, t.disk, t.mtime, t.measured_at, t.missing_at,
	t.mark_status, t.mark_reference, t.mark_ignore, t.sum`
	summedColumns = `t.size, t.content, t.whole, t.version`
)

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
	rows, err := db.sql.QueryContext(ctx, `SELECT `+rowColumns+`, `+summedColumns+`, `+columnNames(cols)+
		` FROM tracks t JOIN roots r ON r.id = t.root
		WHERE instr(t.path, '`+displacedBy+`') = 0 ORDER BY r.path, t.path`)
	if err != nil {
		return nil, db.explain(err)
	}
	defer rows.Close()
	var size, mtime, measured, version int64
	var missing sql.NullInt64
	var sum []byte
	d := newDigest()
	dest := []any{&t.ID, &t.Root, &t.Path, &t.Disk, &mtime, &measured, &missing,
		&t.Marks.Status, &t.Marks.Reference, &t.Marks.Ignore, &sum}
	for _, field := range append([]any{&size, &t.Content, &t.Whole, &version}, columnFields(cols)...) {
		dest = append(dest, summed{field, d})
	}
	var broken []int64
	tracks := make([]track.Track, 0, n) // growing would copy what is large by then
	for rows.Next() {
		t = track.Track{Record: track.Record{Measurement: detect.Empty()}}
		d.reset()
		if err := rows.Scan(dest...); err != nil {
			if code(err) != 0 || t.ID == 0 {
				return nil, db.explain(err)
			}
			sum = noSum // a value that cannot be
		}
		if sum != nil && !bytes.Equal(sum, d.sum()) {
			damaged(&t)
			broken = append(broken, t.ID)
			size = 0
		}
		t.Measurement.File.SizeBytes = size
		t.MeasuredAt = time.Unix(0, measured)
		if mtime != 0 {
			t.ModTime = time.Unix(0, mtime)
		}
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
	db.noteDamaged(ctx, broken)
	return tracks, nil
}

// fill reads the whole records of tracks.
func (db *DB) fill(ctx context.Context, tracks []track.Track) error {
	st, err := db.sql.PrepareContext(ctx, `SELECT record, sum FROM records WHERE track = ?`)
	if err != nil {
		return db.explain(err)
	}
	defer st.Close()
	var broken []int64
	for i := range tracks {
		t := &tracks[i]
		if t.Error != nil && t.Error.Kind == reason.ProblemRecord {
			continue
		}
		r, ok, err := readRecord(ctx, st, t.ID)
		if err != nil {
			return fmt.Errorf("the record of %s: %w", t.Path, db.explain(err))
		}
		if !ok {
			damaged(t)
			judge.Alone(t)
			broken = append(broken, t.ID)
			continue
		}
		t.SetRecord(r)
	}
	db.noteDamaged(ctx, broken)
	return nil
}

// readRecord reads the record of a track; ok is false when it is not what was stored.
func readRecord(ctx context.Context, st *sql.Stmt, id int64) (r track.Record, ok bool, err error) {
	r = track.Record{Measurement: detect.Empty()}
	rows, err := st.QueryContext(ctx, id)
	if err != nil {
		return r, false, err
	}
	defer rows.Close()
	var text, sum sql.RawBytes
	for rows.Next() {
		if err := rows.Scan(&text, &sum); err != nil {
			return r, false, err
		}
		ok = (sum == nil || bytes.Equal(sum, recordSum(text))) && json.Unmarshal(text, &r) == nil
	}
	return r, ok, rows.Err()
}
