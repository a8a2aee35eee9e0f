package store

import (
	"context"
	"database/sql"
	"fmt"

	"dubgauge/detect/standout"
	"dubgauge/library/judge"
	"dubgauge/library/track"
)

// view is the database as it was at one moment.
type view struct {
	db  *DB
	ctx context.Context
	tx  *sql.Tx // reads only
}

// look gives the database as it is to read, whatever others write meanwhile.
func (db *DB) look(ctx context.Context, read func(*view) error) error {
	tx, err := db.sql.BeginTx(ctx, &sql.TxOptions{ReadOnly: true})
	if err != nil {
		return db.explain(err)
	}
	defer tx.Rollback()
	return db.explain(read(&view{db, ctx, tx}))
}

// Each hands out the tracks that Tracks returns, without their records (Full counts for
// nothing), and holds none of them. use may keep what the fields of a track hold, but not
// the track; it may not write to the database. Its error ends Each.
func (db *DB) Each(ctx context.Context, o TrackOptions, use func(*track.Track) error) error {
	return db.look(ctx, func(v *view) error {
		return v.each(o, func(t *track.Track) error {
			if o.leavesOut(t) {
				return nil
			}
			return use(t)
		})
	})
}

// leavesOut tells whether a track is not asked for.
func (o *TrackOptions) leavesOut(t *track.Track) bool {
	return (t.Marks.Ignore && !o.IncludeIgnored) || (t.Missing() && !o.IncludeMissing)
}

// each hands out every track, with status and judgement: what is kept where that serves,
// else worked out and kept.
func (v *view) each(o TrackOptions, use func(*track.Track) error) error {
	changes, kept, err := v.state(o.Judge)
	if err != nil {
		return err
	}
	if !kept {
		return v.anew(o.Judge, changes, use)
	}
	passed := 0
	var refused error
	known, err := v.keptVersions(inMatches)
	if err == nil {
		err = v.kept(o.Brief, func(t *track.Track) error {
			passed++
			t.Versions = known[t.ID]
			refused = use(t)
			return refused
		}, "")
	}
	if err == nil || refused != nil || v.ctx.Err() != nil {
		return err
	}
	return v.anew(o.Judge, changes, func(t *track.Track) error { // what is kept is damaged
		if passed--; passed >= 0 {
			return nil
		}
		return use(t)
	})
}

// atOnce is how many tracks are read once and held while they are judged; more are read
// twice, in batches. Tests change both.
var (
	atOnce     = 2000
	judgeBatch = 250
)

// batchOf are tracks that follow each other from a place on, or why there are none.
type batchOf struct {
	from   int
	tracks []track.Track
	err    error
}

// anew works out what is said of every track, keeps it, and hands the tracks out.
func (v *view) anew(o standout.Options, changes int64, use func(*track.Track) error) error {
	n, err := v.count("")
	if err != nil {
		return err
	}
	c := judge.NewCollection(n, o)
	var held []track.Track
	var aside placed
	if aside.shared, err = v.shared(); err != nil {
		return err
	}
	place := 0
	broken, err := v.rows(func(t *track.Track) error {
		c.Add(t)
		aside.putAside(place, t)
		place++
		if n <= atOnce {
			held = append(held, *t)
		}
		return nil
	}, "")
	if err != nil {
		return err
	}
	v.db.noteDamaged(v.ctx, broken)
	if err := v.close(c, held); err != nil {
		return err
	}
	known := aside.versions(c)
	tell := func(t *track.Track) error {
		t.Versions = known[t.ID]
		return use(t)
	}
	return v.db.keep(v.ctx, n, changes, o, func(k *keeper) error {
		if n < keepLeast {
			return v.judged(c, held, tell)
		}
		groups := newSharedGroups()
		return v.judged(c, held, func(t *track.Track) error {
			k.keep(t, groups.share(t))
			return tell(t)
		})
	})
}

// close holds the tracks of a collection against each other. Fingerprints that are not
// held are read where they are needed.
func (v *view) close(c *judge.Collection, held []track.Track) error {
	st, err := v.tx.PrepareContext(v.ctx, `SELECT fingerprint FROM tracks WHERE id = ?`)
	if err != nil {
		return err
	}
	defer st.Close()
	var failed error
	c.Close(func(place int, id int64) (print string) {
		if held != nil {
			return held[place].Fingerprint
		}
		if err := st.QueryRowContext(v.ctx, id).Scan(&print); err != nil && failed == nil {
			failed = fmt.Errorf("the fingerprint of track %d: %w", id, err)
		}
		return print
	})
	return failed
}

// judged hands out every track judged. One batch is read and another judged while use
// deals with the one before. held are the tracks where they were held.
func (v *view) judged(c *judge.Collection, held []track.Track, use func(*track.Track) error) error {
	ctx, stop := context.WithCancel(v.ctx)
	read, out := make(chan batchOf), make(chan batchOf)
	go v.batches(ctx, held, read)
	go func() {
		defer close(out)
		for b := range read {
			c.Judge(b.from, b.tracks)
			select {
			case out <- b:
			case <-ctx.Done():
			}
		}
	}()
	defer func() {
		stop()
		for range out { // until the others have let go of the database
		}
	}()
	for b := range out {
		for i := range b.tracks {
			if err := use(&b.tracks[i]); err != nil {
				return err
			}
		}
		if b.err != nil {
			return b.err
		}
	}
	return v.ctx.Err()
}

// batches hands out all tracks in batches: those that are held, else they are read.
func (v *view) batches(ctx context.Context, held []track.Track, read chan<- batchOf) {
	defer close(read)
	send := func(b batchOf) error {
		select {
		case read <- b:
			return nil
		case <-ctx.Done():
			return ctx.Err()
		}
	}
	if held != nil {
		_ = send(batchOf{tracks: held})
		return
	}
	next := batchOf{tracks: make([]track.Track, 0, judgeBatch)}
	_, err := v.rows(func(t *track.Track) error {
		if next.tracks = append(next.tracks, *t); len(next.tracks) < judgeBatch {
			return nil
		}
		err := send(next)
		next = batchOf{from: next.from + judgeBatch, tracks: make([]track.Track, 0, judgeBatch)}
		return err
	}, "")
	next.err = err
	_ = send(next)
}
