package scan

import (
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"
	"time"

	"dubgauge/library/madeup"
	"dubgauge/library/store"
)

// BenchmarkRescan20000 is a scan of 20,000 unchanged tracks followed by the
// verdicts on all: what the DJ waits for after adding nothing. The files are
// tiny; what would be read of them is nothing in any case.
func BenchmarkRescan20000(b *testing.B) {
	const n = 20000
	dir, db := b.TempDir(), openTemp(b)
	generate(b, db, dir, n)
	ctx := context.Background()
	if _, err := db.Tracks(ctx, store.TrackOptions{}); err != nil { // the scan before has judged them
		b.Fatal(err)
	}
	for b.Loop() {
		start := time.Now()
		r, err := Run(ctx, db, []string{dir}, Options{})
		if err != nil || r.Unchanged != n {
			b.Fatalf("report %+v, error %v", r, err)
		}
		scan := time.Since(start)
		tracks, err := db.Tracks(ctx, store.TrackOptions{})
		if err != nil || len(tracks) != n {
			b.Fatalf("%d tracks, error %v", len(tracks), err)
		}
		b.ReportMetric(scan.Seconds(), "s-scan/op")
		b.ReportMetric((time.Since(start) - scan).Seconds(), "s-judge/op")
	}
}

// BenchmarkTracksFull20000 reads all records in full, as an export does.
func BenchmarkTracksFull20000(b *testing.B) {
	const n = 20000
	dir, db := b.TempDir(), openTemp(b)
	generate(b, db, dir, n)
	for b.Loop() {
		if tracks, err := db.Tracks(context.Background(), store.TrackOptions{Full: true}); err != nil || len(tracks) != n {
			b.Fatalf("%d tracks, error %v", len(tracks), err)
		}
	}
}

// generate makes n tiny files and a database that knows them.
func generate(t testing.TB, db *store.DB, dir string, n int) {
	t.Helper()
	dir, err := filepath.EvalSymlinks(dir)
	if err != nil {
		t.Fatal(err)
	}
	rng := rand.New(rand.NewPCG(1, 2))
	err = db.Write(context.Background(), func(tx *store.Tx) error {
		p, err := tx.Place(dir)
		if err != nil {
			return err
		}
		for i := range n {
			f := &store.File{Place: &p, Rel: fmt.Sprintf("Folder %03d/Artist %d - Some Title (Original Mix) %d.wav", i/100, i%700, i)}
			f.Path = f.Rel
			data := fmt.Appendf(nil, "track %d", i)
			madeup.WriteFile(t, f.Disk(), data)
			fi, err := os.Stat(f.Disk())
			if err != nil {
				return err
			}
			f.Size, f.MTime = fi.Size(), fi.ModTime().UnixNano()
			f.Content = fmt.Appendf(nil, "%16d", i)
			r := madeup.Record(rng, i)
			r.Path = f.Path
			if err := tx.Put(f, &r); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}
