package library

import (
	"context"
	"errors"
	"fmt"
	"os"
	"testing"
	"time"

	"dubgauge/decode"
)

// TestMain lets a test start this program again in another role: as a scan that
// is killed, or as a user with fewer rights.
func TestMain(m *testing.M) {
	switch os.Getenv("LIBRARY_TEST_ROLE") {
	case "":
		os.Exit(m.Run())
	case "readonly":
		childReadOnly()
	case "scan":
		childScan()
	}
}

// childScan scans DIR into DB slowly, with real measurements, and notes each
// track that it begins as a line of LOG.
func childScan() {
	ctx := context.Background()
	db, err := Open(ctx, os.Getenv("DB"))
	childFail(err)
	log, err := os.OpenFile(os.Getenv("LOG"), os.O_APPEND|os.O_CREATE|os.O_WRONLY, 0o644)
	childFail(err)
	slow := func(ctx context.Context, fsys FS, path string, progress func(float64)) (Record, error, error) {
		if _, err := fmt.Fprintln(log, path); err != nil {
			return Record{}, nil, err
		}
		time.Sleep(5 * time.Millisecond)
		return measureFile(ctx, fsys, path, decode.Options{}, progress)
	}
	r, err := Scan(ctx, db, []string{os.Getenv("DIR")}, ScanOptions{Workers: childWorkers, measure: slow})
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
	db, err := Open(ctx, os.Getenv("DB"))
	childFail(err)
	tracks, err := db.Tracks(ctx, TrackOptions{Full: true})
	childFail(err)
	fmt.Printf("%d tracks", len(tracks))
	if db.ReadOnly() {
		fmt.Print(", read-only")
	}
	fmt.Println()
	if _, err := db.SetMarks(ctx, []int64{tracks[0].ID}, func(m Marks) Marks { m.Ignore = true; return m }); !errors.Is(err, ErrReadOnly) {
		fmt.Printf("marking: error %v, want %v\n", err, ErrReadOnly)
	}
}
