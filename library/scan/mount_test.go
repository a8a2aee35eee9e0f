package scan

import (
	"context"
	"database/sql"
	"os"
	"path/filepath"
	"sync/atomic"
	"testing"
	"time"

	"dubgauge/library/madeup"
	"dubgauge/library/store"
)

// forgetWhole leaves a database as it was before hashes were kept.
func forgetWhole(t testing.TB, db *store.DB) {
	t.Helper()
	raw, err := sql.Open("sqlite", db.Path())
	if err != nil {
		t.Fatal(err)
	}
	defer raw.Close()
	if _, err := raw.Exec(`UPDATE tracks SET whole = NULL, sum = NULL`); err != nil {
		t.Fatal(err)
	}
}

// moveStick renames a stick's mount point.
func moveStick(t testing.TB, dir string) string {
	t.Helper()
	now := filepath.Join(t.TempDir(), "usb1")
	if err := os.Rename(dir, now); err != nil {
		t.Fatal(err)
	}
	return now
}

// TestMountedElsewhere: under another mount point some files are read whole and the
// rest believed; files that were saved anew meanwhile are measured.
func TestMountedElsewhere(t *testing.T) {
	const files = 40
	for _, c := range []struct {
		name            string
		change          func(t *testing.T, dir string)
		moved, measured int
		whole           int // files read whole, about
	}{
		{"as it was", func(*testing.T, string) {}, files, 0, clockSample},
		{"with another clock", func(t *testing.T, d string) { shiftAll(t, d, 2*time.Hour) }, files, 0, clockSample},
		{"one saved anew", func(t *testing.T, d string) { resave(t, d+"/Folder 1/track 04.wav", time.Minute) }, files - 1, 1, clockSample + 2},
		{"the newest is another", func(t *testing.T, d string) { resave(t, d+"/Folder 0/track 39.wav", 0) }, files - 1, 1, files + 1},
	} {
		t.Run(c.name, func(t *testing.T) {
			dir, db := longStick(t, files), openTemp(t)
			scanCounted(t, db, Options{}, dir)
			for _, tr := range tracksOf(t, db, store.TrackOptions{}) {
				mark(t, db, tr.ID)
			}
			now := moveStick(t, dir)
			c.change(t, now)
			var n atomic.Int64
			r, _ := scanCounted(t, db, Options{FS: readCount{OS, &n}}, now)
			if r.Moved != c.moved || r.Measured != c.measured {
				t.Errorf("%d moved, %d measured; want %d, %d", r.Moved, r.Measured, c.moved, c.measured)
			}
			const size = 2*longSamples + 44
			if got := float64(n.Load()) / size; got > 1.4*float64(c.whole)+2 {
				t.Errorf("%.1f files' worth was read, want about %d", got, c.whole)
			}
			checkFigures(t, db)
			for _, tr := range tracksOf(t, db, store.TrackOptions{IncludeMissing: true}) {
				if !tr.Marks.Reference || tr.Root != r.Roots[0] || tr.Missing() {
					t.Errorf("%s in %s: marks %+v, missing %v", tr.Path, tr.Root, tr.Marks, tr.Missing())
				}
			}
		})
	}
}

// TestMeasuredBeforeHashes: of what an older version measured, nothing is measured anew
// unless a time stamp says that it changed; and then the hash is there.
func TestMeasuredBeforeHashes(t *testing.T) {
	const files = 12
	for _, c := range []struct {
		name     string
		change   func(t *testing.T, dir string) string
		measured int
	}{
		{"as it was", func(t *testing.T, d string) string { return d }, 0},
		{"summer time", func(t *testing.T, d string) string { shiftAll(t, d, time.Hour); return d }, 0},
		{"mounted elsewhere", func(t *testing.T, d string) string { return moveStick(t, d) }, 0},
		{"one renamed", func(t *testing.T, d string) string {
			if err := os.Rename(d+"/Folder 1/track 04.wav", d+"/final.wav"); err != nil {
				t.Fatal(err)
			}
			return d
		}, 0},
		{"one saved anew", func(t *testing.T, d string) string { resave(t, d+"/Folder 1/track 04.wav", time.Minute); return d }, 1},
		{"one renamed and saved anew", func(t *testing.T, d string) string {
			resave(t, d+"/Folder 1/track 04.wav", time.Minute)
			if err := os.Rename(d+"/Folder 1/track 04.wav", d+"/final.wav"); err != nil {
				t.Fatal(err)
			}
			return d
		}, 1},
	} {
		t.Run(c.name, func(t *testing.T) {
			dir, db := longStick(t, files), openTemp(t)
			scanCounted(t, db, Options{}, dir)
			forgetWhole(t, db)
			if r, _ := scanCounted(t, db, Options{}, c.change(t, dir)); r.Measured != c.measured {
				t.Errorf("%d measured, want %d", r.Measured, c.measured)
			}
			checkFigures(t, db)
			hashed := 0
			for _, tr := range tracksOf(t, db, store.TrackOptions{}) {
				if tr.Whole != nil {
					hashed++
				}
			}
			if hashed != c.measured {
				t.Errorf("%d tracks have a hash, want the %d that were measured", hashed, c.measured)
			}
		})
	}
}

// TestOneReading: measuring a file and hashing it reads it once, but for the samples.
func TestOneReading(t *testing.T) {
	dir, db := t.TempDir(), openTemp(t)
	const seconds = 400 // at 8 kHz, 6.4 MB
	madeup.WriteFile(t, dir+"/a.wav", madeup.WAV(1, seconds*8000))
	var n atomic.Int64
	if r, err := Run(context.Background(), db, []string{dir}, Options{FS: readCount{OS, &n}}); err != nil || r.Measured != 1 {
		t.Fatalf("report %+v, error %v", r, err)
	}
	const size, samples = seconds * 16000, 384 << 10
	if got := n.Load(); got > size+2*samples {
		t.Errorf("%d bytes were read of a file of %d", got, size)
	}
	if tr := byPath(t, db, "a.wav"); len(tr.Whole) != 8 {
		t.Errorf("its hash is %x", tr.Whole)
	}
}
