package library

import (
	"context"
	"errors"
	"fmt"
	"os"
	"testing"
)

// TestMain lets a test start this program again in another role: as a scan that
// is killed, or as a user with fewer rights.
func TestMain(m *testing.M) {
	switch os.Getenv("LIBRARY_TEST_ROLE") {
	case "":
		os.Exit(m.Run())
	case "readonly":
		childReadOnly()
	}
}

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
