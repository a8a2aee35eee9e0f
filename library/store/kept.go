package store

import (
	"context"
	"database/sql"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"os"

	"github.com/cespare/xxhash/v2"

	"dubgauge/detect/standout"
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

// keptBy names what worked verdicts out: this very program, with these options. Another
// build may say other things.
func keptBy(o standout.Options) string {
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
func (v *view) state(o standout.Options) (changes int64, kept bool, err error) {
	var at sql.NullInt64
	var by sql.NullString
	err = v.tx.QueryRowContext(v.ctx, `SELECT c.n, k.changes, k.by FROM changes c LEFT JOIN kept k`).Scan(&changes, &at, &by)
	return changes, at.Valid && at.Int64 == changes && by.String == keptBy(o), err
}

// keep stores what is said of tracks which was worked out at this number of changes,
// while work hands them to the keeper in their order; not when there were more changes
// meanwhile. work is called once in any case, with a keeper that keeps nothing where
// nothing can be kept, and keep returns its error: a database that cannot be written to
// is none the worse.
func (db *DB) keep(ctx context.Context, tracks int, changes int64, o standout.Options, work func(*keeper) error) error {
	var failed error
	worked := false
	now := func(k *keeper) error {
		worked = true
		failed = work(k)
		return failed
	}
	if !db.readOnly && tracks >= keepLeast {
		_ = db.Write(ctx, func(tx *Tx) error {
			k, err := tx.newKeeper(changes)
			if err != nil {
				return err
			}
			if err := now(k); err != nil || k.tx == nil {
				return err
			}
			if k.err != nil {
				return k.err
			}
			return tx.exec(`INSERT INTO kept (changes, by) VALUES (?, ?)`, changes, keptBy(o))
		})
	}
	if !worked {
		return now(&keeper{})
	}
	return failed
}

// keeper stores what is said of one track after another.
type keeper struct {
	tx     *Tx // nil: it keeps nothing
	err    error
	line   *keptTrack
	buf    []byte
	place  int
	stored int // groups
}

// newKeeper begins with nothing; it keeps nothing where the library has changed.
func (tx *Tx) newKeeper(changes int64) (*keeper, error) {
	var now int64
	if err := tx.row(`SELECT n FROM changes`).Scan(&now); err != nil || now != changes {
		return &keeper{}, err
	}
	for _, q := range []string{`DELETE FROM kept`, `DELETE FROM kept_tracks`, `DELETE FROM kept_groups`} {
		if err := tx.exec(q); err != nil {
			return nil, err
		}
	}
	return &keeper{tx: tx, line: newKeptTrack()}, nil
}

// keep stores the next track, which has a group of that number. What goes wrong ends the
// keeping and nothing else.
func (k *keeper) keep(t *track.Track, group int) {
	if k.tx == nil || k.err != nil {
		return
	}
	if group > k.stored {
		k.err = k.insertGroup(t, group)
		k.stored = group
	}
	if k.err == nil {
		k.err = k.insert(t, group)
	}
	k.place++
}

func (k *keeper) insertGroup(t *track.Track, group int) error {
	text, err := json.Marshal(keptGroup{t.Reference.Tracks, t.Reference.LUFS, t.Reference.Stats, t.Members})
	if err != nil {
		return err
	}
	return k.tx.exec(`INSERT INTO kept_groups (id, said) VALUES (?, ?)`, group, string(text))
}

func (k *keeper) insert(t *track.Track, group int) error {
	st, err := k.tx.often(`INSERT INTO kept_tracks (place, track, line, rest, line_sum, rest_sum) VALUES (?, ?, ?, ?, ?, ?)`)
	if err != nil {
		return err
	}
	var rest []byte
	if k.buf, rest, err = k.line.line(k.buf[:0], t, int64(group)); err != nil {
		return err
	}
	_, err = st.ExecContext(k.tx.ctx, k.place, t.ID, k.buf, rest, keptSum(k.buf), keptSum(rest))
	return err
}

// keptSum is the checksum of a kept text.
func keptSum(text []byte) []byte { return binary.BigEndian.AppendUint64(nil, xxhash.Sum64(text)) }
