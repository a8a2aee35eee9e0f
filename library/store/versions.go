package store

import (
	"dubgauge/library/judge"
	"dubgauge/library/track"
)

// versions are what is said of the versions of tracks, by their numbers.
type versions map[int64]*track.Versions

// inMatches are the tracks with music that others hold too.
const inMatches = `SELECT track FROM prints WHERE hash IN (SELECT a FROM matches UNION SELECT b FROM matches)`

// shared reads which tracks hold the same music.
func (v *view) shared() (s judge.Shared, err error) {
	s.Of = map[int64]int64{}
	rows, err := v.tx.QueryContext(v.ctx, `SELECT a, b, seconds FROM matches`)
	if err != nil {
		return s, err
	}
	defer rows.Close()
	for rows.Next() {
		var m judge.Match
		if err := rows.Scan(&m.A, &m.B, &m.Seconds); err != nil {
			return s, err
		}
		s.Matches = append(s.Matches, m)
	}
	if err := rows.Err(); err != nil || len(s.Matches) == 0 {
		return s, err
	}
	prints, err := v.tx.QueryContext(v.ctx, `SELECT track, hash FROM prints WHERE track IN (`+inMatches+`)`)
	if err != nil {
		return s, err
	}
	defer prints.Close()
	for prints.Next() {
		var id, hash int64
		if err := prints.Scan(&id, &hash); err != nil {
			return s, err
		}
		s.Of[id] = hash
	}
	return s, prints.Err()
}

// versionsOf tells the versions of tracks, of which all else is known.
func versionsOf(tracks []track.Track, s judge.Shared) versions {
	these := make([]*track.Track, len(tracks))
	for i := range tracks {
		these[i] = &tracks[i]
	}
	judge.Versions(these, s)
	all := versions{}
	for _, t := range these {
		if t.Versions != nil {
			all[t.ID] = t.Versions
		}
	}
	return all
}

// keptVersions tells the versions of tracks by what is kept: of those whose numbers where
// gives (SQL), and nobody shares music with one of them who is not among them.
func (v *view) keptVersions(where string, args ...any) (versions, error) {
	s, err := v.shared()
	if err != nil || len(s.Matches) == 0 {
		return nil, err
	}
	var tracks []track.Track
	err = v.kept(true, func(t *track.Track) error { tracks = append(tracks, *t); return nil }, `WHERE track IN (`+where+`)`, args...)
	if err != nil {
		return nil, err
	}
	return versionsOf(tracks, s), nil
}

// related gives the numbers of the tracks that share music with one of some (JSON), or
// with one that does, and so on.
const related = `WITH RECURSIVE near(hash) AS (
		SELECT hash FROM prints WHERE track IN (SELECT value FROM json_each(?))
		UNION SELECT CASE m.a WHEN near.hash THEN m.b ELSE m.a END FROM near JOIN matches m ON m.a = near.hash OR m.b = near.hash
	)
	SELECT track FROM prints WHERE hash IN (SELECT hash FROM near)`

// placed are tracks that were put aside, with their places among all.
type placed struct {
	shared judge.Shared
	tracks []track.Track
	places []int
}

// putAside keeps a copy of a track that shares music with others.
func (p *placed) putAside(place int, t *track.Track) {
	if _, shares := p.shared.Of[t.ID]; shares {
		p.tracks, p.places = append(p.tracks, *t), append(p.places, place)
	}
}

// versions judges what was put aside and tells its versions.
func (p *placed) versions(c *judge.Collection) versions {
	for i, place := range p.places {
		c.Judge(place, p.tracks[i:i+1])
	}
	return versionsOf(p.tracks, p.shared)
}
