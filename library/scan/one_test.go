package scan

import (
	"context"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"testing"
	"time"

	"dubgauge/library/madeup"
	"dubgauge/library/store"
	"dubgauge/library/track"
)

// TestOne: one file that was saved anew is measured, with its marks kept, and no other; what is
// gone, is no file or lies on a disk that is away is said.
func TestOne(t *testing.T) {
	dir, db := longStick(t, 3), openTemp(t)
	scanCounted(t, db, Options{}, dir)
	before := tracksOf(t, db, store.TrackOptions{})
	a, b := before[0], before[1]
	mark(t, db, a.ID)
	madeup.WriteFile(t, a.DiskPath(), madeup.WAV(77, 3*longSamples))
	var told []Progress
	r, err := One(context.Background(), db, a.ID, Options{Progress: func(p Progress) { told = append(told, p) }})
	if err != nil || r.Measured != 1 || r.Total != 1 || len(r.Roots) != 1 || r.Roots[0] != dir {
		t.Fatalf("report %+v, error %v", r, err)
	}
	if last := told[len(told)-1]; last.Done != 1 || last.Total != 1 || last.Phase != Matching {
		t.Errorf("the last progress is %+v", last)
	}
	after := byPath(t, db, a.Path)
	if !after.Marks.Reference || after.ID != a.ID || float64(after.File.DurationS) <= float64(a.File.DurationS)*1.4 {
		t.Errorf("before %v s, after %v s, marks %+v", a.File.DurationS, after.File.DurationS, after.Marks)
	}
	if now := byPath(t, db, b.Path); !now.MeasuredAt.Equal(b.MeasuredAt) {
		t.Error("another track was measured as well")
	}
	// A next scan finds nothing to do.
	if r, _ := scanCounted(t, db, Options{}, dir); r.Measured != 0 || r.Unchanged != 3 {
		t.Errorf("the next scan: %+v", r)
	}
	// One that did not change is measured all the same.
	if r, err := One(context.Background(), db, b.ID, Options{}); err != nil || r.Measured != 1 || !byPath(t, db, b.Path).MeasuredAt.After(b.MeasuredAt) {
		t.Errorf("unchanged: %+v, %v", r, err)
	}
}

func TestOneThatIsNotThere(t *testing.T) {
	dir, db := longStick(t, 3), openTemp(t)
	scanCounted(t, db, Options{}, dir)
	all := tracksOf(t, db, store.TrackOptions{})
	if _, err := One(context.Background(), db, 4711, Options{}); !errors.Is(err, store.ErrNoTrack) {
		t.Errorf("no such track: %v", err)
	}
	if err := os.Remove(all[0].DiskPath()); err != nil {
		t.Fatal(err)
	}
	r, err := One(context.Background(), db, all[0].ID, Options{})
	if !errors.Is(err, fs.ErrNotExist) || r.Missing != 1 {
		t.Errorf("a deleted file: %+v, %v", r, err)
	}
	if tr, err := db.Track(context.Background(), all[0].ID); err != nil || !tr.Missing() {
		t.Errorf("it is not noted as missing: %v", err)
	}
	if err := os.Remove(all[1].DiskPath()); err != nil {
		t.Fatal(err)
	}
	if err := os.Mkdir(all[1].DiskPath(), 0o755); err != nil {
		t.Fatal(err)
	}
	if _, err := One(context.Background(), db, all[1].ID, Options{}); !errors.Is(err, errNoFile) {
		t.Errorf("a folder in its place: %v", err)
	}
	if err := os.RemoveAll(dir); err != nil {
		t.Fatal(err)
	}
	var m *MediumError
	if r, err := One(context.Background(), db, all[2].ID, Options{}); !errors.As(err, &m) || m.Root != dir || r.Missing != 0 {
		t.Errorf("a stick that is away: %+v, %v", r, err)
	}
	if tr, err := db.Track(context.Background(), all[2].ID); err != nil || tr.Missing() {
		t.Errorf("its track is taken for deleted: %v", err)
	}
	stopped, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := One(stopped, db, all[2].ID, Options{}); !errors.Is(err, context.Canceled) {
		t.Errorf("stopped: %v", err)
	}
}

// TestScanIsNotedWhenWhole: a root that was scanned to its end has the time of it; one whose scan
// was stopped has none, nor has a folder of a root.
func TestScanIsNotedWhenWhole(t *testing.T) {
	dir, db := longStick(t, 4), openTemp(t)
	noted := func() store.Library {
		t.Helper()
		all, err := db.Libraries(context.Background(), store.TrackOptions{}.Judge)
		if err != nil || len(all) != 1 {
			t.Fatalf("%+v, %v", all, err)
		}
		return all[0]
	}
	ctx, cancel := context.WithCancel(context.Background())
	measured := 0
	_, err := Run(ctx, db, []string{dir}, Options{Workers: 1, measure: func(ctx context.Context, fsys FS, path string, p func(float64)) (track.Record, error, error) {
		if measured++; measured == 2 {
			cancel()
			return track.Record{}, nil, ctx.Err()
		}
		var c counter
		return c.measure(ctx, fsys, path, p)
	}})
	if !errors.Is(err, context.Canceled) {
		t.Fatal(err)
	}
	if l := noted(); l.Tracks != 1 || !l.Scanned.IsZero() {
		t.Errorf("after a scan that was stopped: %+v", l)
	}
	scanCounted(t, db, Options{}, filepath.Join(dir, "Folder 1"))
	if l := noted(); !l.Scanned.IsZero() {
		t.Errorf("after a scan of a part: %+v", l)
	}
	begun := time.Now()
	scanCounted(t, db, Options{}, dir)
	if l := noted(); l.Tracks != 4 || l.Scanned.Before(begun) || l.Scanned.After(time.Now()) {
		t.Errorf("after a whole scan: %+v", l)
	}
}

// TestGlance: what is named like a track counts, but for what a scan passes over too; a look that
// has no time says that it is not whole.
func TestGlance(t *testing.T) {
	dir := t.TempDir()
	for _, name := range []string{"a.wav", "deep/er/b.MP3", "deep/c.flac", "cover.jpg", "notes.txt", ".hidden.wav", ".Trashes/d.wav", "System Volume Information/e.wav"} {
		madeup.WriteFile(t, filepath.Join(dir, filepath.FromSlash(name)), []byte("x"))
	}
	if err := os.Symlink(dir, filepath.Join(dir, "loop")); err != nil {
		t.Log("no links here: " + err.Error())
	}
	if n, whole := Glance(dir, time.Minute); n != 3 || !whole {
		t.Errorf("%d tracks, whole %v; want 3", n, whole)
	}
	if n, whole := Glance(dir, 0); n != 0 || whole {
		t.Errorf("without time: %d tracks, whole %v", n, whole)
	}
	if n, whole := Glance(filepath.Join(dir, "none"), time.Minute); n != 0 || !whole {
		t.Errorf("a folder that is not there: %d tracks, whole %v", n, whole)
	}
}
