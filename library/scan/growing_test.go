package scan

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"dubgauge/library/madeup"
	"dubgauge/library/store"
	"dubgauge/library/track"
)

// TestFileThatIsBeingCopied: a file that changes while it is measured is measured anew
// at the end of the scan, and that is said. One that goes on changing is named, and
// what was known of it stays.
func TestFileThatIsBeingCopied(t *testing.T) {
	whole := madeup.WAV(5, 3000)
	half := append(append([]byte{}, whole[:2000]...), make([]byte, len(whole)-2000)...) // the size is there from the start
	for _, c := range []struct {
		name     string
		first    []byte
		times    int  // that it changes while it is measured
		still    bool // its time stamp does not move
		measured int
		said     string
	}{
		{"it grows once", whole[:2000], 1, false, 3, "measured again"},
		{"it grows, and its time stamp stands still", whole[:2000], 1, true, 3, "measured again"},
		{"it has its size from the start", half, 1, false, 3, "measured again"},
		{"it never ends", whole[:2000], 1000, false, 2, "still being written"},
	} {
		t.Run(c.name, func(t *testing.T) {
			old := retryChanged
			retryChanged = time.Millisecond
			defer func() { retryChanged = old }()
			dir, db := t.TempDir(), openTemp(t)
			path := filepath.Join(dir, "b.wav")
			for _, name := range []string{"a.wav", "c.wav"} {
				madeup.WriteFile(t, filepath.Join(dir, name), madeup.WAV(uint32(name[0]), 500))
			}
			madeup.WriteFile(t, path, c.first)
			saved := time.Now().Add(-time.Hour)
			stamp(t, path, saved)
			var count counter
			var mu sync.Mutex
			changed := 0
			measure := func(ctx context.Context, fsys FS, p string, progress func(float64)) (track.Record, error, error) {
				r, medium, err := count.measure(ctx, fsys, p, progress)
				mu.Lock()
				defer mu.Unlock()
				if filepath.Base(p) == "b.wav" && changed < c.times {
					changed++
					data := append(append([]byte{}, whole...), make([]byte, changed-1)...)
					madeup.WriteFile(t, p, data)
					at := saved
					if !c.still {
						at = saved.Add(time.Duration(changed) * time.Minute)
					}
					stamp(t, p, at)
				}
				return r, medium, err
			}
			r, err := Run(context.Background(), db, []string{dir}, Options{measure: measure})
			if err != nil {
				t.Fatal(err)
			}
			if len(r.Problems) != 1 || r.Problems[0].Path != path || !strings.Contains(r.Problems[0].Detail, c.said) {
				t.Errorf("problems %+v, want one of %s: %q", r.Problems, path, c.said)
			}
			if r.Measured != c.measured || len(tracksOf(t, db, store.TrackOptions{})) != c.measured {
				t.Errorf("%d measured, %d stored; want %d", r.Measured, len(tracksOf(t, db, store.TrackOptions{})), c.measured)
			}
			checkFigures(t, db)
			if r, n := scanCounted(t, db, Options{}, dir); n != 3-c.measured || r.Total != 3 {
				t.Errorf("the next scan: %+v", r)
			}
		})
	}
}

// TestStampTooFresh: on a medium that keeps whole seconds, a file that was saved within
// the two seconds of FAT's resolution is waited for, as a change in them would not show.
func TestStampTooFresh(t *testing.T) {
	dir, db := t.TempDir(), openTemp(t)
	path := filepath.Join(dir, "a.wav")
	madeup.WriteFile(t, path, madeup.WAV(1, 500))
	saved := time.Now().Truncate(time.Second)
	stamp(t, path, saved)
	var began time.Time
	var c counter
	measure := func(ctx context.Context, fsys FS, p string, progress func(float64)) (track.Record, error, error) {
		began = time.Now()
		return c.measure(ctx, fsys, p, progress)
	}
	if _, err := Run(context.Background(), db, []string{dir}, Options{measure: measure}); err != nil {
		t.Fatal(err)
	}
	if began.Sub(saved) < fatStep {
		t.Errorf("measuring began %v after it was saved", began.Sub(saved))
	}
	for _, at := range []time.Time{time.Now().Add(24 * time.Hour).Truncate(time.Second), time.Now()} { // a wrong clock, a medium with fine stamps
		if err := os.Remove(path); err != nil {
			t.Fatal(err)
		}
		madeup.WriteFile(t, path, madeup.WAV(2, 700))
		stamp(t, path, at)
		start := time.Now()
		if _, err := Run(context.Background(), db, []string{dir}, Options{measure: measure}); err != nil {
			t.Fatal(err)
		}
		if began.Sub(start) > fatStep/2 {
			t.Errorf("stamp %v: waited %v", at, began.Sub(start))
		}
	}
}
