package store

import (
	"context"
	"errors"
	"math"
	"runtime"
	"slices"
	"sync"

	"dubgauge/detect/fingerprint"
)

// matchBatch is how many new prints are matched at a time: of 6 minutes each, they and
// their index take 45 MB. Tests change it.
var matchBatch = 2000

// mostMatches are kept of one print: those that share the most music.
const mostMatches = 200

// match is two prints of the same music, by their hashes, a < b.
type match struct {
	a, b    int64
	seconds float64
}

func newMatch(a, b int64, seconds float64) match { return match{min(a, b), max(a, b), seconds} }

// MatchTunes finds which tracks hold the same music: it matches the prints that are new
// with all there are and keeps what it finds, so that lists need only read it. A database
// that cannot be written to stays as it is.
func (db *DB) MatchTunes(ctx context.Context) error {
	if db.readOnly {
		return nil
	}
	fresh, err := db.newPrints(ctx)
	if err != nil {
		return err
	}
	old := int64(math.MinInt64) // what is new and below was in a batch before
	for batch := range slices.Chunk(fresh, matchBatch) {
		isNew := func(h int64) bool { _, ok := slices.BinarySearch(fresh, h); return ok }
		found, err := db.matchThese(ctx, batch, func(h int64) bool { return h > old || !isNew(h) })
		if err != nil {
			return err
		}
		if err := db.keepMatches(ctx, batch, found); err != nil {
			return err
		}
		old = batch[len(batch)-1]
	}
	return db.forgetMatches(ctx)
}

// matchThese matches some prints with all of which wanted tells so.
func (db *DB) matchThese(ctx context.Context, batch []int64, wanted func(hash int64) bool) ([]match, error) {
	var hashes []int64
	var prints []fingerprint.Print
	err := db.eachPrint(ctx, batch[0], batch[len(batch)-1], func(hash int64, p fingerprint.Print) error {
		if _, in := slices.BinarySearch(batch, hash); in {
			hashes, prints = append(hashes, hash), append(prints, p)
		}
		return nil
	})
	if err != nil || len(prints) == 0 {
		return nil, err
	}
	type query struct {
		hash  int64
		print fingerprint.Print
	}
	index, queries := fingerprint.NewIndex(prints), make(chan query)
	var work sync.WaitGroup
	var mu sync.Mutex
	var found []match
	for range runtime.GOMAXPROCS(0) {
		work.Go(func() {
			f := index.Finder()
			for q := range queries {
				self, in := slices.BinarySearch(hashes, q.hash)
				if !in {
					self = fingerprint.None
				}
				these := f.Find(q.print, self)
				mu.Lock()
				for _, m := range these {
					found = append(found, newMatch(q.hash, hashes[m.Print], m.Seconds))
				}
				mu.Unlock()
			}
		})
	}
	err = db.eachPrint(ctx, math.MinInt64, math.MaxInt64, func(hash int64, p fingerprint.Print) error {
		if wanted(hash) {
			queries <- query{hash, p}
		}
		return ctx.Err()
	})
	close(queries)
	work.Wait()
	return mostOf(found), err
}

// mostOf keeps of the matches each once, with the most seconds, and of one print no more
// than mostMatches.
func mostOf(found []match) []match {
	slices.SortFunc(found, func(x, y match) int {
		switch {
		case x.seconds != y.seconds:
			return int(math.Copysign(1, y.seconds-x.seconds))
		case x.a != y.a:
			return compareHashes(x.a, y.a)
		}
		return compareHashes(x.b, y.b)
	})
	type pair struct{ a, b int64 }
	seen, count := map[pair]bool{}, map[int64]int{}
	return slices.DeleteFunc(found, func(m match) bool {
		p := pair{m.a, m.b}
		if seen[p] || count[m.a] >= mostMatches || count[m.b] >= mostMatches {
			return true
		}
		seen[p] = true
		count[m.a]++
		count[m.b]++
		return false
	})
}

func compareHashes(a, b int64) int {
	switch {
	case a < b:
		return -1
	case a > b:
		return 1
	}
	return 0
}

// keepMatches stores what a batch was found to match, and that it was matched.
func (db *DB) keepMatches(ctx context.Context, batch []int64, found []match) error {
	return db.Write(ctx, func(tx *Tx) error {
		put, err := tx.often(`INSERT OR REPLACE INTO matches (a, b, seconds) VALUES (?, ?, ?)`)
		if err != nil {
			return err
		}
		done, err := tx.often(`INSERT OR IGNORE INTO matched (hash) VALUES (?)`)
		if err != nil {
			return err
		}
		for _, m := range found {
			if _, err := put.ExecContext(ctx, m.a, m.b, m.seconds); err != nil {
				return err
			}
		}
		for _, h := range batch {
			if _, err := done.ExecContext(ctx, h); err != nil {
				return err
			}
		}
		return nil
	})
}

// forgetMatches drops what belongs to prints that no track has any more.
func (db *DB) forgetMatches(ctx context.Context) error {
	var stale int
	err := db.sql.QueryRowContext(ctx, `SELECT count(*) FROM matched WHERE hash NOT IN (SELECT hash FROM prints)`).Scan(&stale)
	if err != nil || stale == 0 {
		return db.explain(err)
	}
	return db.Write(ctx, func(tx *Tx) error {
		return errors.Join(
			tx.exec(`DELETE FROM matched WHERE hash NOT IN (SELECT hash FROM prints)`),
			tx.exec(`DELETE FROM matches WHERE a NOT IN (SELECT hash FROM prints) OR b NOT IN (SELECT hash FROM prints)`))
	})
}
