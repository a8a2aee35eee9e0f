package store

import (
	"bytes"
	"context"
	"database/sql"
	"encoding/json"
	"errors"
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
	// Brief is enough for lists and trim sheets: evidence, sentences and moves, and the
	// faults that a track has only beside others, may be empty.
	Brief bool
	// Prints also reads the audio's fingerprints, for Rejudge.
	Prints bool
	// Judge holds the options of the verdicts.
	Judge standout.Options
}

// Tracks returns the tracks of the database ordered by root and path, each with
// its status and what is said of it against the whole database.
func (db *DB) Tracks(ctx context.Context, o TrackOptions) ([]track.Track, error) {
	var kept []track.Track
	err := db.look(ctx, func(v *view) error {
		n, err := v.count("")
		if err != nil {
			return err
		}
		kept = make([]track.Track, 0, n) // growing would copy what is large by then
		err = v.each(o, func(t *track.Track) error {
			if !o.leavesOut(t) {
				kept = append(kept, *t)
			}
			return nil
		})
		if err == nil && o.Prints {
			err = v.readPrints(kept)
		}
		return err
	})
	if err != nil {
		return nil, err
	}
	if o.Full {
		return kept, db.fill(ctx, kept)
	}
	return kept, nil
}

// Track returns one track in full, also when it is ignored or missing.
func (db *DB) Track(ctx context.Context, id int64) (track.Track, error) {
	return db.TrackAs(ctx, id, standout.Options{})
}

// TrackAs returns one track in full, judged with these options.
func (db *DB) TrackAs(ctx context.Context, id int64, o standout.Options) (track.Track, error) {
	found, err := db.some(ctx, []int64{id}, o)
	if err == nil && len(found) == 0 {
		err = noTrack(id)
	}
	if err != nil {
		return track.Track{}, err
	}
	return found[0], db.fill(ctx, found)
}

// some gives the tracks with these numbers, with status and judgement, in the order of
// all; those that there are.
func (db *DB) some(ctx context.Context, ids []int64, o standout.Options) (found []track.Track, err error) {
	err = db.look(ctx, func(v *view) error {
		changes, kept, err := v.state(o)
		if err != nil {
			return err
		}
		if kept {
			known, err := v.keptVersions(related, numbers(ids))
			if err == nil {
				err = v.kept(false, func(t *track.Track) error {
					t.Versions = known[t.ID]
					found = append(found, *t)
					return nil
				}, `WHERE track IN (SELECT value FROM json_each(?))`, numbers(ids))
			}
			if err == nil || ctx.Err() != nil {
				return err
			}
			found = nil // what is kept is damaged
		}
		return v.anew(o, changes, func(t *track.Track) error {
			if slices.Contains(ids, t.ID) {
				found = append(found, *t)
			}
			return nil
		})
	})
	return found, err
}

// numbers is a list of track numbers as JSON, which SQL takes apart.
func numbers(ids []int64) string {
	list, _ := json.Marshal(ids)
	return string(list)
}

// rowColumns of a track; behind them come those that its checksum is over, of which
// summedColumns are the first and the scalars the rest.
const (
	rowColumns = `t.id, r.path, t.path, t.disk, t.mtime, t.measured_at, t.missing_at,
	t.mark_status, t.mark_reference, t.mark_ignore, t.marks = ` + marksTwice + `, t.sum`
	summedColumns = `t.size, t.content, t.whole, t.version`
)

// Unjudged returns the tracks with these numbers with their status and without a
// verdict, for which all others would have to be read.
func (db *DB) Unjudged(ctx context.Context, ids []int64) (found []track.Track, err error) {
	err = db.look(ctx, func(v *view) error {
		broken, err := v.rows(func(t *track.Track) error { found = append(found, *t); return nil },
			`AND t.id IN (SELECT value FROM json_each(?))`, numbers(ids))
		db.noteDamaged(ctx, broken)
		return err
	})
	return found, err
}

// shownRows are the rows that are tracks: the others keep marks, see displacedBy.
const shownRows = `instr(t.path, '` + displacedBy + `') = 0`

// count is how many tracks there are for which more holds (SQL that begins with AND, or
// "").
func (v *view) count(more string, args ...any) (n int, err error) {
	err = v.tx.QueryRowContext(v.ctx, `SELECT count(*) FROM tracks t WHERE `+shownRows+` `+more, args...).Scan(&n)
	return n, err
}

// rows hands out the tracks for which more holds, without their records, in the order of
// root and path, with their status. It returns the numbers of those that the database
// has not kept as they were stored.
func (v *view) rows(use func(*track.Track) error, more string, args ...any) (broken []int64, err error) {
	patterns, err := v.patterns()
	if err != nil {
		return nil, err
	}
	var t track.Track
	cols := scalarColumns(&t)
	rows, err := v.tx.QueryContext(v.ctx, `SELECT `+rowColumns+`, `+summedColumns+`, `+columnNames(cols)+
		` FROM tracks t JOIN roots r ON r.id = t.root WHERE `+shownRows+` `+more+` ORDER BY r.path, t.path`, args...)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var size, mtime, measured int64
	var missing sql.NullInt64
	var sum sql.RawBytes
	var marked bool // the marks are what was stored
	d := newDigest()
	dest := []any{&t.ID, &t.Root, &t.Path, &t.Disk, &mtime, &measured, &missing,
		&t.Marks.Status, &t.Marks.Reference, &t.Marks.Ignore, &marked, &sum}
	for _, field := range append([]any{&size, &t.Content, &t.Whole, &t.Version}, columnFields(cols)...) {
		dest = append(dest, summed{field, d})
	}
	for rows.Next() {
		t = track.Track{Record: track.Record{Measurement: detect.Empty()}}
		d.reset()
		if err := rows.Scan(dest...); err != nil {
			if code(err) != 0 || t.ID == 0 {
				return nil, err
			}
			sum = noSum // a value that cannot be
		}
		if !marked || sum != nil && !bytes.Equal(sum, d.sum()) {
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
		if err := use(&t); err != nil {
			return nil, err
		}
	}
	return broken, rows.Err()
}

// mostSpectra are read of a group: the percentiles of more would look the same.
const mostSpectra = 400

// Spectra reads the spectra and the levels of tracks, in the order of ids; of one that
// has no record that can be read, none, and of more than mostSpectra so many evenly.
func (db *DB) Spectra(ctx context.Context, ids []int64) ([]track.Spectrum, error) {
	st, err := db.sql.PrepareContext(ctx, `SELECT record, sum FROM records WHERE track = ?`)
	if err != nil {
		return nil, db.explain(err)
	}
	defer st.Close()
	var all []track.Spectrum
	n := min(len(ids), mostSpectra)
	for i := range n {
		id := ids[i*len(ids)/n]
		var r struct {
			Loudness detect.Loudness `json:"loudness"`
			Spectrum detect.Spectrum `json:"spectrum"`
			Kick     *detect.Kick    `json:"kick"`
		}
		ok, err := readRecord(ctx, st, id, &r)
		if err != nil {
			return nil, db.explain(err)
		}
		if ok {
			all = append(all, track.Spectrum{ID: id, Spectrum: r.Spectrum, Level: r.Loudness.Loudest30sLUFS, Kick: r.Kick})
		}
	}
	return all, nil
}

// Fill reads the whole records of tracks that were read without them.
func (db *DB) Fill(ctx context.Context, tracks []*track.Track) error {
	st, err := db.sql.PrepareContext(ctx, `SELECT record, sum FROM records WHERE track = ?`)
	if err != nil {
		return db.explain(err)
	}
	defer st.Close()
	var broken []int64
	for _, t := range tracks {
		if t.Error != nil && t.Error.Kind == reason.ProblemRecord {
			continue
		}
		r := track.Record{Measurement: detect.Empty()}
		ok, err := readRecord(ctx, st, t.ID, &r)
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

// FillText reads the records of tracks that were read without them: as text where that
// is enough (track.StoredIsEnough), else like Fill.
func (db *DB) FillText(ctx context.Context, tracks []*track.Track) error {
	st, err := db.sql.PrepareContext(ctx, `SELECT record, sum FROM records WHERE track = ?`)
	if err != nil {
		return db.explain(err)
	}
	defer st.Close()
	var others []*track.Track
	for _, t := range tracks {
		var text, sum []byte
		err := st.QueryRowContext(ctx, t.ID).Scan(&text, &sum)
		if err != nil && !errors.Is(err, sql.ErrNoRows) {
			return fmt.Errorf("the record of %s: %w", t.Path, db.explain(err))
		}
		if bytes.Equal(sum, recordSum(text)) && t.StoredIsEnough(text) {
			t.Stored = text
		} else {
			others = append(others, t)
		}
	}
	return db.Fill(ctx, others)
}

// fill reads the whole records of tracks.
func (db *DB) fill(ctx context.Context, tracks []track.Track) error {
	these := make([]*track.Track, len(tracks))
	for i := range tracks {
		these[i] = &tracks[i]
	}
	return db.Fill(ctx, these)
}

// readRecord reads the record of a track into what its JSON fits; ok is false when it is
// not what was stored.
func readRecord(ctx context.Context, st *sql.Stmt, id int64, into any) (ok bool, err error) {
	rows, err := st.QueryContext(ctx, id)
	if err != nil {
		return false, err
	}
	defer rows.Close()
	var text, sum sql.RawBytes
	for rows.Next() {
		if err := rows.Scan(&text, &sum); err != nil {
			return false, err
		}
		ok = (sum == nil || bytes.Equal(sum, recordSum(text))) && json.Unmarshal(text, into) == nil
	}
	return ok, rows.Err()
}
