package store

import (
	"context"
	"database/sql"
	"fmt"
	"maps"
	"slices"

	"dubgauge/detect/standout"
	"dubgauge/library/judge"
	"dubgauge/library/status"
	"dubgauge/library/track"
)

// State tells whether a library is still what it was. States are equal where nothing that
// Tracks returns has changed in between, whoever might have changed it.
type State struct {
	changes int64   // of tracks, patterns and roots, which triggers count
	matches int64   // pairs of prints with the same music
	seconds float64 // which they share, all together
}

// Between are the states before and behind a change.
type Between struct{ Before, After State }

const stateQuery = `SELECT n, (SELECT count(*) FROM matches), (SELECT total(seconds) FROM matches) FROM changes`

// State is that of the library now. It costs a fraction of a millisecond.
func (db *DB) State(ctx context.Context) (s State, err error) {
	err = s.scan(db.sql.QueryRowContext(ctx, stateQuery))
	return s, db.explain(err)
}

func (s *State) scan(row *sql.Row) error { return row.Scan(&s.changes, &s.matches, &s.seconds) }

// between is Write that notes the states before and behind.
func (db *DB) between(ctx context.Context, at *Between, change func(*Tx) error) error {
	return db.Write(ctx, func(tx *Tx) error {
		if err := at.Before.scan(tx.row(stateQuery)); err != nil {
			return err
		}
		if err := change(tx); err != nil {
			return err
		}
		return at.After.scan(tx.row(stateQuery))
	})
}

// Rejudge gives the tracks as they would be with these marks: a copy of tracks, judged anew.
// Nothing is written. tracks must be all that Tracks returns with IncludeIgnored and Prints;
// what it returns for a library that has these marks is the same.
func (db *DB) Rejudge(ctx context.Context, tracks []track.Track, marks map[int64]track.Marks, o standout.Options) ([]track.Track, error) {
	all := slices.Clone(tracks)
	err := db.look(ctx, func(v *view) error {
		patterns, err := v.patterns()
		if err != nil {
			return err
		}
		shared, err := v.shared()
		if err != nil {
			return err
		}
		missing := maps.Clone(marks)
		for i := range all {
			t := &all[i]
			t.TakeBack()
			if m, marked := marks[t.ID]; marked {
				delete(missing, t.ID)
				t.Marks = m
				t.Status, t.Evidence = status.Decide(status.Track{Path: t.Path, Tags: &t.Tags, Mark: m.Status}, patterns.Of(t.Root, t.Path))
			}
		}
		for id := range missing {
			return noTrack(id)
		}
		judge.Again(tracks, all, o)
		share(all)
		known := versionsOf(sharing(all, shared), shared)
		for i := range all {
			all[i].Versions = known[all[i].ID]
		}
		return nil
	})
	if err != nil {
		return nil, fmt.Errorf("judging anew: %w", err)
	}
	return all, nil
}

// share gives the tracks of one group one list of its members.
func share(tracks []track.Track) {
	groups := newSharedGroups()
	for i := range tracks {
		groups.share(&tracks[i])
	}
}

// sharing are copies of the tracks whose music others hold too.
func sharing(tracks []track.Track, s judge.Shared) (some []track.Track) {
	for i := range tracks {
		if _, shares := s.Of[tracks[i].ID]; shares {
			some = append(some, tracks[i])
		}
	}
	return some
}

// readPrints reads the fingerprints of the audio into tracks that are read without.
func (v *view) readPrints(tracks []track.Track) error {
	places := make(map[int64]int, len(tracks))
	for i := range tracks {
		places[tracks[i].ID] = i
	}
	rows, err := v.tx.QueryContext(v.ctx, `SELECT id, fingerprint FROM tracks`)
	if err != nil {
		return err
	}
	defer rows.Close()
	var id int64
	var print string
	for rows.Next() {
		if err := rows.Scan(&id, &print); err != nil {
			return err
		}
		if i, there := places[id]; there {
			tracks[i].Fingerprint = print
		}
	}
	return rows.Err()
}
