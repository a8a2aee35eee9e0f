package store

import (
	"bytes"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"

	"dubgauge/library/track"
)

// errKept: what is kept is not what was stored.
var errKept = errors.New("what is kept of the verdicts is damaged")

// kept hands out what is kept of the tracks for which where holds (SQL, "" is all), in
// the order of root and path, without the rest where it is brief.
func (v *view) kept(brief bool, use func(*track.Track) error, where string, args ...any) error {
	groups, err := v.keptGroups()
	if err != nil {
		return err
	}
	more := `rest, rest_sum`
	if brief {
		more = `NULL, NULL`
	}
	rows, err := v.tx.QueryContext(v.ctx, `SELECT line, line_sum, `+more+` FROM kept_tracks `+where+` ORDER BY place`, args...)
	if err != nil {
		return err
	}
	defer rows.Close()
	k := newKeptTrack()
	var line, lineSum, rest, restSum sql.RawBytes
	for rows.Next() {
		if err := rows.Scan(&line, &lineSum, &rest, &restSum); err != nil {
			return err
		}
		if !bytes.Equal(lineSum, keptSum(line)) || (!brief && !bytes.Equal(restSum, keptSum(rest))) {
			return errKept
		}
		if err := k.read(line, rest, groups); err != nil {
			return fmt.Errorf("%w: %w", errKept, err)
		}
		if err := use(&k.t); err != nil {
			return err
		}
	}
	return rows.Err()
}

func (v *view) keptGroups() (map[int64]*keptGroup, error) {
	rows, err := v.tx.QueryContext(v.ctx, `SELECT id, said FROM kept_groups`)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	groups := map[int64]*keptGroup{}
	var id int64
	var text sql.RawBytes
	for rows.Next() {
		if err := rows.Scan(&id, &text); err != nil {
			return nil, err
		}
		g := &keptGroup{}
		if err := json.Unmarshal(text, g); err != nil {
			return nil, fmt.Errorf("%w: %w", errKept, err)
		}
		groups[id] = g
	}
	return groups, rows.Err()
}
