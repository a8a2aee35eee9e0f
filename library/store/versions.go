package store

import (
	"context"
	"encoding/json"

	"dubgauge/library/judge"
	"dubgauge/library/track"
)

// addVersions fills in the versions of all tracks, by the matches that are kept.
func (db *DB) addVersions(ctx context.Context, tracks []track.Track) error {
	p := judge.Prints{Of: map[int64]int64{}}
	rows, err := db.sql.QueryContext(ctx, `SELECT a, b, seconds FROM matches`)
	if err != nil {
		return db.explain(err)
	}
	defer rows.Close()
	for rows.Next() {
		var m judge.Match
		if err := rows.Scan(&m.A, &m.B, &m.Seconds); err != nil {
			return db.explain(err)
		}
		p.Matches = append(p.Matches, m)
	}
	if err := rows.Err(); err != nil || len(p.Matches) == 0 {
		return db.explain(err)
	}
	if err := db.printsOf(ctx, p.Of, `hash IN (SELECT a FROM matches UNION SELECT b FROM matches)`); err != nil {
		return err
	}
	these := make([]*track.Track, len(tracks))
	for i := range tracks {
		these[i] = &tracks[i]
	}
	judge.Versions(these, p)
	return nil
}

// printsOf reads the prints of the tracks for which where holds (SQL).
func (db *DB) printsOf(ctx context.Context, of map[int64]int64, where string, args ...any) error {
	rows, err := db.sql.QueryContext(ctx, `SELECT track, hash FROM prints WHERE `+where, args...)
	if err != nil {
		return db.explain(err)
	}
	defer rows.Close()
	for rows.Next() {
		var id, hash int64
		if err := rows.Scan(&id, &hash); err != nil {
			return db.explain(err)
		}
		of[id] = hash
	}
	return db.explain(rows.Err())
}

// mostRelated is how many tracks are read for what is said of the versions of one.
const mostRelated = 400

// related are the numbers of the tracks that share music with one of some, or with one
// that does, and so on; those themselves are among them where there are others.
func (db *DB) related(ctx context.Context, ids []int64) ([]int64, error) {
	list, err := json.Marshal(ids)
	if err != nil {
		return nil, err
	}
	rows, err := db.sql.QueryContext(ctx, `WITH RECURSIVE near(hash) AS (
			SELECT hash FROM prints WHERE track IN (SELECT value FROM json_each(?))
			UNION SELECT CASE m.a WHEN near.hash THEN m.b ELSE m.a END FROM near JOIN matches m ON m.a = near.hash OR m.b = near.hash
		)
		SELECT track FROM prints WHERE hash IN (SELECT hash FROM near) ORDER BY track LIMIT ?`, string(list), mostRelated)
	if err != nil {
		return nil, db.explain(err)
	}
	defer rows.Close()
	var all []int64
	for rows.Next() {
		var id int64
		if err := rows.Scan(&id); err != nil {
			return nil, db.explain(err)
		}
		all = append(all, id)
	}
	return all, db.explain(rows.Err())
}

// keptVersions fills in the versions of some tracks whose verdicts are kept, for which
// those that share music with them are read.
func (db *DB) keptVersions(ctx context.Context, tracks []track.Track, ids []int64) error {
	near, err := db.related(ctx, ids)
	if err != nil || len(near) <= 1 {
		return err
	}
	list, err := json.Marshal(near)
	if err != nil {
		return err
	}
	all, err := db.keptTracks(ctx, true, `WHERE track IN (SELECT value FROM json_each(?))`, string(list))
	if err == nil {
		err = db.addVersions(ctx, all)
	}
	for i := range tracks {
		for _, t := range all {
			if t.ID == tracks[i].ID {
				tracks[i].Versions = t.Versions
			}
		}
	}
	return err
}
