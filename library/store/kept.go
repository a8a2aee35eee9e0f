package store

import (
	"bytes"
	"context"
	"database/sql"
	"encoding/binary"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"slices"
	"time"

	"github.com/cespare/xxhash/v2"

	"dubgauge/detect"
	"dubgauge/detect/standout"
	"dubgauge/library/status"
	"dubgauge/library/track"
)

// To judge one track, all have to be read: so what is said of all of them is kept, with
// the state of the library that it was worked out from. Triggers count every change of
// a track, a pattern or a root; what was kept at another count, by another program or
// with other options serves no more. It is a copy: whoever finds it wanting works it
// out anew.

// keepLeast is the number of tracks from which verdicts are kept: fewer are judged in
// the time that it takes to read them. Tests change it.
var keepLeast = 1500

// fields of a track in a line: all that is known and said of it, but the text of what is
// said and the fingerprint. The scratch fields are of the track that is read next.
type keptTrack struct {
	t                              track.Track
	size, mtime, measured, missing int64
	group                          int64
	fields                         []any
	brief                          []any // the same, nil for what lists do not show
}

// unlisted are the columns that neither lists nor trim sheets show.
var unlisted = []string{"fingerprint", "album", "label", "catalogue", "isrc", "genre", "tag_sources", "codec", "balance"}

func newKeptTrack() *keptTrack {
	k := &keptTrack{}
	t := &k.t
	both := func(fields ...any) { k.fields, k.brief = append(k.fields, fields...), append(k.brief, fields...) }
	both(&t.ID, &t.Root, &t.Path, &t.Disk, &k.size, &k.mtime, &k.measured, &k.missing, &t.Version, textOf(&t.Marks.Status), &t.Marks.Reference, &t.Marks.Ignore)
	k.fields, k.brief = append(k.fields, &t.Content, &t.Whole), append(k.brief, nil, nil)
	for _, c := range scalarColumns(t) {
		switch {
		case c.name == "fingerprint": // it served its purpose
		case slices.Contains(unlisted, c.name):
			k.fields, k.brief = append(k.fields, c.field), append(k.brief, nil)
		default:
			both(c.field)
		}
	}
	both(textOf(&t.Status), textOf(&t.Verdict), codes{&t.Reasons}, exact{&t.MismatchDB}, exact{&t.Past},
		exact{&t.Trim.TrimDB}, exact{&t.Trim.SafeDB}, exact{&t.Trim.LimitingDB}, deviations{&t.Deviations}, &t.Unlike,
		textOf(&t.Reference.Basis), exact{&t.Reference.BPM}, &k.group, &t.Twin)
	return k
}

// said is the rest of what is said of a track: what lists do not show.
type said struct {
	Evidence []status.Evidence `json:"e,omitempty"`
	Faults   []detect.Fault    `json:"f,omitempty"` // those of track.Added
	Notes    []string          `json:"n,omitempty"`
	Tone     []standout.Move   `json:"t,omitempty"`
}

// keptGroup is a reference group, without what differs from track to track.
type keptGroup struct {
	Tracks  int                                 `json:"tracks"`
	LUFS    detect.Value                        `json:"lufs"`
	Stats   map[standout.Quantity]standout.Stat `json:"stats"`
	Members []int64                             `json:"members"`
}

// line writes a track with the number of its group.
func (k *keptTrack) line(t *track.Track, group int64) (line, rest []byte, err error) {
	k.t, k.group = *t, group
	k.size, k.mtime, k.measured, k.missing = t.Measurement.File.SizeBytes, stampOf(t.ModTime), stampOf(t.MeasuredAt), stampOf(t.MissingSince)
	k.t.Faults = t.Faults[:len(t.Faults)-len(t.Added())] // the others are in rest
	for _, f := range k.fields {
		v, err := columnValue(f)
		if err != nil {
			return nil, nil, err
		}
		line = appendValue(line, v)
	}
	rest, err = json.Marshal(said{t.Evidence, t.Added(), t.Notes, t.Tone})
	return line, rest, err
}

// stampOf is a time in ns since 1970; 0 is no time.
func stampOf(t time.Time) int64 {
	if t.IsZero() {
		return 0
	}
	return t.UnixNano()
}

func timeOf(stamp int64) time.Time {
	if stamp == 0 {
		return time.Time{}
	}
	return time.Unix(0, stamp)
}

// read reads what line wrote; rest may be nil.
func (k *keptTrack) read(line, rest []byte, groups map[int64]*keptGroup) (track.Track, error) {
	root := k.t.Root
	k.t = track.Track{Root: root, Record: track.Record{Measurement: detect.Empty()}}
	var err error
	fields := k.fields
	if rest == nil {
		fields = k.brief
	}
	for _, f := range fields {
		if line, err = takeValue(line, f); err != nil {
			return k.t, err
		}
	}
	t := &k.t
	t.Measurement.File.SizeBytes = k.size
	t.ModTime, t.MeasuredAt, t.MissingSince = timeOf(k.mtime), timeOf(k.measured), timeOf(k.missing)
	g := groups[k.group]
	if len(line) > 0 || g == nil {
		return k.t, errLine
	}
	t.Reference.Tracks, t.Reference.LUFS, t.Reference.Stats, t.Members = g.Tracks, g.LUFS, g.Stats, g.Members
	t.Notes, t.Tone = []string{}, []standout.Move{}
	if rest == nil {
		return k.t, nil
	}
	var s said
	if err := json.Unmarshal(rest, &s); err != nil {
		return k.t, err
	}
	if t.Evidence = s.Evidence; t.Evidence == nil {
		t.Evidence = []status.Evidence{}
	}
	if s.Notes != nil {
		t.Notes = s.Notes
	}
	if s.Tone != nil {
		t.Tone = s.Tone
	}
	for _, f := range s.Faults {
		t.AddFault(f)
	}
	return k.t, nil
}

// keeper names what worked verdicts out: this very program, with these options. Another
// build may say other things.
func keeper(o standout.Options) string {
	ceiling := standout.DefaultCeiling
	if o.Ceiling != nil {
		ceiling = *o.Ceiling
	}
	build := "unknown"
	if exe, err := os.Executable(); err == nil {
		if fi, err := os.Stat(exe); err == nil {
			build = fmt.Sprintf("%d bytes of %d", fi.Size(), fi.ModTime().UnixNano())
		}
	}
	return fmt.Sprintf("%s, ceiling %g", build, ceiling)
}

// state is the number of changes to the library, and whether what is kept belongs to it.
func (db *DB) state(ctx context.Context, o standout.Options) (changes int64, kept bool, err error) {
	var at sql.NullInt64
	var by sql.NullString
	err = db.sql.QueryRowContext(ctx, `SELECT c.n, k.changes, k.by FROM changes c LEFT JOIN kept k`).Scan(&changes, &at, &by)
	return changes, at.Valid && at.Int64 == changes && by.String == keeper(o), db.explain(err)
}

// keep stores what is said of all tracks, which was worked out at this number of changes;
// not when there were more meanwhile. A database that cannot be written to is none the
// worse.
func (db *DB) keep(ctx context.Context, tracks []track.Track, changes int64, o standout.Options) error {
	if db.readOnly || len(tracks) < keepLeast {
		return nil
	}
	return db.Write(ctx, func(tx *Tx) error {
		var now int64
		if err := tx.row(`SELECT n FROM changes`).Scan(&now); err != nil || now != changes {
			return err
		}
		for _, q := range []string{`DELETE FROM kept`, `DELETE FROM kept_tracks`, `DELETE FROM kept_groups`} {
			if err := tx.exec(q); err != nil {
				return err
			}
		}
		if err := tx.keepTracks(tracks); err != nil {
			return err
		}
		return tx.exec(`INSERT INTO kept (changes, by) VALUES (?, ?)`, changes, keeper(o))
	})
}

func (tx *Tx) keepTracks(tracks []track.Track) error {
	st, err := tx.sql.PrepareContext(tx.ctx, `INSERT INTO kept_tracks (place, track, line, rest, line_sum, rest_sum) VALUES (?, ?, ?, ?, ?, ?)`)
	if err != nil {
		return err
	}
	defer st.Close()
	k, groups := newKeptTrack(), groupNumbers{tx: tx, byFirst: map[*int64]int64{}, byMembers: map[string]int64{}}
	for i := range tracks {
		t := &tracks[i]
		group, err := groups.of(t)
		if err != nil {
			return err
		}
		line, rest, err := k.line(t, group)
		if err != nil {
			return err
		}
		if _, err := st.ExecContext(tx.ctx, i, t.ID, line, rest, keptSum(line), keptSum(rest)); err != nil {
			return err
		}
	}
	return nil
}

// keptSum is the checksum of a kept text.
func keptSum(text []byte) []byte { return binary.BigEndian.AppendUint64(nil, xxhash.Sum64(text)) }

// groupNumbers stores each group once.
type groupNumbers struct {
	tx        *Tx
	byFirst   map[*int64]int64 // tracks of one group share the list of its members
	byMembers map[string]int64
}

func (g *groupNumbers) of(t *track.Track) (int64, error) {
	var first *int64
	if len(t.Members) > 0 {
		first = &t.Members[0]
	}
	if n, known := g.byFirst[first]; known && first != nil {
		return n, nil
	}
	key := fmt.Appendf(nil, "%v %v", t.TakesPart(), t.Reference.LUFS)
	for _, id := range t.Members {
		key = binary.AppendVarint(key, id)
	}
	n, known := g.byMembers[string(key)]
	if !known {
		n = int64(len(g.byMembers) + 1)
		g.byMembers[string(key)] = n
		text, err := json.Marshal(keptGroup{t.Reference.Tracks, t.Reference.LUFS, t.Reference.Stats, t.Members})
		if err != nil {
			return 0, err
		}
		if err := g.tx.exec(`INSERT INTO kept_groups (id, said) VALUES (?, ?)`, n, string(text)); err != nil {
			return 0, err
		}
	}
	g.byFirst[first] = n
	return n, nil
}

// errKept: what is kept is not what was stored.
var errKept = errors.New("what is kept of the verdicts is damaged")

// keptTracks reads what is kept of the tracks for which where holds (SQL, "" is all), in
// the order of root and path, without the rest where it is brief.
func (db *DB) keptTracks(ctx context.Context, brief bool, where string, args ...any) ([]track.Track, error) {
	groups, err := db.keptGroups(ctx)
	if err != nil {
		return nil, err
	}
	var n int
	if err := db.sql.QueryRowContext(ctx, `SELECT count(*) FROM kept_tracks `+where, args...).Scan(&n); err != nil {
		return nil, err
	}
	more := `rest, rest_sum`
	if brief {
		more = `NULL, NULL`
	}
	rows, err := db.sql.QueryContext(ctx, `SELECT line, line_sum, `+more+` FROM kept_tracks `+where+` ORDER BY place`, args...)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	tracks, k := make([]track.Track, 0, n), newKeptTrack()
	var line, lineSum, rest, restSum sql.RawBytes
	for rows.Next() {
		if err := rows.Scan(&line, &lineSum, &rest, &restSum); err != nil {
			return nil, err
		}
		if !bytes.Equal(lineSum, keptSum(line)) || (!brief && !bytes.Equal(restSum, keptSum(rest))) {
			return nil, errKept
		}
		t, err := k.read(line, rest, groups)
		if err != nil {
			return nil, fmt.Errorf("%w: %w", errKept, err)
		}
		tracks = append(tracks, t)
	}
	return tracks, rows.Err()
}

func (db *DB) keptGroups(ctx context.Context) (map[int64]*keptGroup, error) {
	rows, err := db.sql.QueryContext(ctx, `SELECT id, said FROM kept_groups`)
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
