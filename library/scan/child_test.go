package scan

import (
	"context"
	"errors"
	"fmt"
	"os"
	"testing"
	"time"

	"dubgauge/decode"
	"dubgauge/library/store"
	"dubgauge/library/track"
)

// TestMain lets a test start this program again in another role: as a scan that
// is killed, or as a user with fewer rights.
func TestMain(m *testing.M) {
	switch os.Getenv("SCAN_TEST_ROLE") {
	case "":
		os.Exit(m.Run())
	case "readonly":
		childReadOnly()
	case "scan":
		childScan()
	}
}

// childScan scans DIR into store.DB slowly, with real measurements, and notes each
// track that it begins as a line of LOG.
func childScan() {
	ctx := context.Background()
	db, err := store.Open(ctx, os.Getenv("store.DB"))
	childFail(err)
	log, err := os.OpenFile(os.Getenv("LOG"), os.O_APPEND|os.O_CREATE|os.O_WRONLY, 0o644)
	childFail(err)
	slow := func(ctx context.Context, fsys FS, path string, progress func(float64)) (track.Record, error, error) {
		if _, err := fmt.Fprintln(log, path); err != nil {
			return track.Record{}, nil, err
		}
		time.Sleep(5 * time.Millisecond)
		return measureFile(ctx, fsys, path, decode.Options{}, progress)
	}
	r, err := Run(ctx, db, []string{os.Getenv("DIR")}, Options{Workers: childWorkers, measure: slow})
	childFail(err)
	childFail(db.Close())
	fmt.Printf("%d of %d measured, %d unchanged, %d problems\n", r.Measured, r.Total, r.Unchanged, len(r.Problems))
}

const childWorkers = 3

func childFail(err error) {
	if err != nil {
		fmt.Println(err)
		os.Exit(1)
	}
}

// childReadOnly lists what a database holds that cannot be written, and sees
// writing refused.
func childReadOnly() {
	ctx := context.Background()
	db, err := store.Open(ctx, os.Getenv("store.DB"))
	childFail(err)
	tracks, err := db.Tracks(ctx, store.TrackOptions{Full: true})
	childFail(err)
	_, err = db.SetMarks(ctx, []int64{tracks[0].ID}, func(m track.Marks) track.Marks { m.Ignore = true; return m })
	if !errors.Is(err, store.ErrReadOnly) {
		fmt.Printf("marking: error %v, want %v\n", err, store.ErrReadOnly)
	}
	fmt.Printf("%d tracks, read-only\n", len(tracks))
}
