package scan

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync/atomic"
	"syscall"
	"testing"
	"time"

	"dubgauge/library/madeup"
	"dubgauge/library/status"
	"dubgauge/library/store"
	"dubgauge/library/track"
)

// TestDiskVanishes pulls the stick out after some files, and when it is back the
// scan goes on from there.
func TestDiskVanishes(t *testing.T) {
	const files = 30
	dir, db := t.TempDir(), openTemp(t)
	for i := range files {
		madeup.WriteFile(t, filepath.Join(dir, fmt.Sprintf("track %02d.wav", i)), madeup.WAV(uint32(i), 100+i))
	}
	scanCounted(t, db, Options{}, dir)
	for i := 5; i < files; i++ { // five stay as they are
		madeup.WriteFile(t, filepath.Join(dir, fmt.Sprintf("track %02d.wav", i)), madeup.WAV(uint32(1000+i), 200+i))
	}
	var c counter
	pulled := failing{FS: OS, gone: func() bool { return c.n.Load() > 10 }}
	r, err := Run(context.Background(), db, []string{dir}, Options{Workers: 2, FS: pulled, measure: c.measure})
	var m *MediumError
	if !errors.As(err, &m) || !strings.Contains(err.Error(), dir) {
		t.Fatalf("error %v, want a MediumError that names %s", err, dir)
	}
	if r.Measured < 8 || r.Measured > 11 || r.Missing != 0 || r.Failed != 0 {
		t.Errorf("report %+v: want about 10 measured, none missing or failed", r)
	}
	if n := len(tracksOf(t, db, store.TrackOptions{})); n != files {
		t.Errorf("%d tracks are there, want %d", n, files)
	}
	again, n := scanCounted(t, db, Options{}, dir)
	if n != files-5-r.Measured || again.Missing != 0 {
		t.Errorf("the scan after it measured %d, want the %d that are left", n, files-5-r.Measured)
	}
}

// TestDiskVanishesWhileWalking: nothing is marked missing then.
func TestDiskVanishesWhileWalking(t *testing.T) {
	dir, db := smallLibrary(t), openTemp(t)
	scanCounted(t, db, Options{}, dir)
	var calls atomic.Int64
	pulled := failing{FS: OS, gone: func() bool { return calls.Add(1) > 4 }}
	_, err := Run(context.Background(), db, []string{dir}, Options{FS: pulled})
	var m *MediumError
	if !errors.As(err, &m) {
		t.Fatalf("error %v, want a MediumError", err)
	}
	if n := len(tracksOf(t, db, store.TrackOptions{})); n != 5 {
		t.Errorf("%d tracks are there, want 5", n)
	}
}

// TestBadSectors: single files that the disk does not give are unreadable, many
// in a row stop the scan and are not held against the files.
func TestBadSectors(t *testing.T) {
	for _, c := range []struct {
		name         string
		bad          []int
		stops        bool
		failed, kept int
	}{
		{"one", []int{7}, false, 1, 20},
		{"two apart", []int{3, 12}, false, 2, 20},
		{"the last", []int{19}, false, 1, 20},
		{"from the ninth on", []int{9, 10, 11, 12, 13, 14, 15, 16, 17, 18, 19}, true, 0, 9},
	} {
		t.Run(c.name, func(t *testing.T) {
			dir, db := t.TempDir(), openTemp(t)
			for i := range 20 {
				madeup.WriteFile(t, filepath.Join(dir, fmt.Sprintf("%02d.wav", i)), madeup.WAV(uint32(i), 100+i))
			}
			bad := failing{FS: OS, fail: func(path string) error {
				for _, i := range c.bad {
					if filepath.Base(path) == fmt.Sprintf("%02d.wav", i) {
						return &fs.PathError{Op: "read", Path: path, Err: syscall.EIO}
					}
				}
				return nil
			}}
			var count counter
			r, err := Run(context.Background(), db, []string{dir}, Options{Workers: 1, FS: bad, measure: count.measure})
			var m *MediumError
			if errors.As(err, &m) != c.stops || (err != nil) != c.stops {
				t.Errorf("error %v, stops: %v", err, c.stops)
			}
			tracks := tracksOf(t, db, store.TrackOptions{})
			if r.Failed != c.failed || len(tracks) != c.kept {
				t.Errorf("%d failed, %d stored; want %d, %d", r.Failed, len(tracks), c.failed, c.kept)
			}
			for _, tr := range tracks {
				if tr.Error != nil && (tr.Error.Kind != "unreadable" || tr.Verdict != "unreadable" || !strings.Contains(tr.Error.Detail, "read error")) {
					t.Errorf("%s: %+v, verdict %s", tr.Path, *tr.Error, tr.Verdict)
				}
			}
			if _, n := scanCounted(t, db, Options{}, dir); n != 20-c.kept+c.failed {
				t.Errorf("on a sound disk %d are measured, want %d", n, 20-c.kept+c.failed)
			}
		})
	}
}

// TestUnreadableFolder: it is named, its tracks stay, the rest goes on.
func TestUnreadableFolder(t *testing.T) {
	dir, db := smallLibrary(t), openTemp(t)
	scanCounted(t, db, Options{}, dir)
	denied := failing{FS: OS, fail: func(path string) error {
		if filepath.Base(path) == "House" {
			return &fs.PathError{Op: "open", Path: path, Err: syscall.EACCES}
		}
		return nil
	}}
	r, _ := scanCounted(t, db, Options{FS: denied}, dir)
	if r.Unchanged != 3 || r.Missing != 0 || len(r.Problems) != 1 {
		t.Fatalf("report %+v", r)
	}
	if p := r.Problems[0]; filepath.Base(p.Path) != "House" || !strings.Contains(p.Detail, "permission denied") {
		t.Errorf("problem %+v", p)
	}
	if n := len(tracksOf(t, db, store.TrackOptions{})); n != 5 {
		t.Errorf("%d tracks, want 5", n)
	}
}

// TestStickElsewhere: mounted under another path, no track is decoded again, and
// marks and patterns come along.
func TestStickElsewhere(t *testing.T) {
	tmp, db := t.TempDir(), openTemp(t)
	stick := smallLibrary(t)
	old, now := filepath.Join(tmp, "usb"), filepath.Join(tmp, "usb1")
	if err := os.Rename(stick, old); err != nil {
		t.Fatal(err)
	}
	scanCounted(t, db, Options{Unreleased: []string{"House/**"}}, old)
	a := byPath(t, db, "a.wav")
	if _, err := db.SetMarks(context.Background(), []int64{a.ID}, func(m track.Marks) track.Marks { m.Status = status.Released; return m }); err != nil {
		t.Fatal(err)
	}
	if err := os.Rename(old, now); err != nil {
		t.Fatal(err)
	}
	r, n := scanCounted(t, db, Options{}, now)
	if n != 0 || r.Moved != 5 {
		t.Errorf("report %+v, want all 5 recognised", r)
	}
	tracks := tracksOf(t, db, store.TrackOptions{IncludeMissing: true})
	if len(tracks) != 5 {
		t.Errorf("%d tracks, want 5", len(tracks))
	}
	for _, tr := range tracks {
		want := map[string]status.Status{"a.wav": status.Released, "House/b.wav": status.Unreleased, "House/c v7.wav": status.Unreleased}[tr.Path]
		if want != "" && tr.Status != want {
			t.Errorf("%s is %s, want %s: %+v", tr.Path, tr.Status, want, tr.Evidence)
		}
	}
}

// TestEmptyMountPoint: an empty folder where tracks were does not lose them.
func TestEmptyMountPoint(t *testing.T) {
	dir, db := smallLibrary(t), openTemp(t)
	scanCounted(t, db, Options{}, dir)
	if err := os.RemoveAll(dir); err != nil {
		t.Fatal(err)
	}
	if err := os.Mkdir(dir, 0o755); err != nil {
		t.Fatal(err)
	}
	r, _ := scanCounted(t, db, Options{}, dir)
	if r.Missing != 0 || len(r.Problems) != 1 || !strings.Contains(r.Problems[0].Detail, "plugged in") {
		t.Errorf("report %+v", r)
	}
	madeup.WriteFile(t, dir+"/new.wav", madeup.WAV(50, 500))
	if r, _ = scanCounted(t, db, Options{}, dir); r.Missing != 5 {
		t.Errorf("%d missing, want 5", r.Missing)
	}
	if n := len(tracksOf(t, db, store.TrackOptions{})); n != 1 {
		t.Errorf("%d tracks are listed, want 1", n)
	}
}

// TestCancel: Ctrl-C ends a scan soon, and what was measured is kept.
func TestCancel(t *testing.T) {
	dir, db := t.TempDir(), openTemp(t)
	for i := range 50 {
		madeup.WriteFile(t, filepath.Join(dir, fmt.Sprintf("%02d.wav", i)), madeup.WAV(uint32(i), 100+i))
	}
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	var c counter
	var pressed atomic.Int64
	slow := func(ctx context.Context, fsys FS, path string, progress func(float64)) (track.Record, error, error) {
		if c.n.Load() >= 10 && pressed.CompareAndSwap(0, time.Now().UnixNano()) {
			cancel()
		}
		if pressed.Load() != 0 {
			<-ctx.Done() // in the middle of a long track
			return track.Record{}, nil, ctx.Err()
		}
		return c.measure(ctx, fsys, path, progress)
	}
	r, err := Run(ctx, db, []string{dir}, Options{Workers: 2, measure: slow})
	// It takes milliseconds; the rest is for machines that stall while they run tests.
	const stall = 10 * time.Second
	took := time.Since(time.Unix(0, pressed.Load()))
	if err != context.Canceled || took > stall {
		t.Errorf("error %v after %v, want %v at once", err, took, context.Canceled)
	}
	if n := len(tracksOf(t, db, store.TrackOptions{})); n != r.Measured || n < 9 {
		t.Errorf("%d stored, %d reported, want both about 10", n, r.Measured)
	}
	if _, n := scanCounted(t, db, Options{}, dir); n != 50-r.Measured {
		t.Errorf("the next scan measured %d, want %d", n, 50-r.Measured)
	}
}

func TestProgress(t *testing.T) {
	dir, db := smallLibrary(t), openTemp(t)
	var all []Progress
	scanCounted(t, db, Options{Progress: func(p Progress) { all = append(all, p) }}, dir)
	last := all[len(all)-1]
	if last.Total != 5 || last.Done != 5 || last.Measured != 5 || last.AudioSeconds != 5 || last.Left >= 0 || last.Phase != Matching {
		t.Errorf("progress at the end: %+v", last)
	}
	if !slices.IsSortedFunc(all, func(a, b Progress) int { return a.Done - b.Done }) {
		t.Errorf("progress goes back: %+v", all)
	}
}

// TestTimeLeft: after half of the audio in ten seconds, ten seconds are left,
// also when the files play twice as long as their sizes let guess.
func TestTimeLeft(t *testing.T) {
	tr := newTracker(nil)
	var files []*file
	for range 10 {
		files = append(files, &file{File: store.File{Rel: "a.wav", Size: 1764000}}) // guessed at 10 s
	}
	tr.measuring(files)
	if got := tr.left(10 * time.Second); got >= 0 {
		t.Errorf("left %v with nothing to go by", got)
	}
	for _, f := range files[:5] {
		tr.finished(0, f, 20, func(*Progress) {})
	}
	if got := tr.left(10 * time.Second); got != 10*time.Second {
		t.Errorf("left %v, want 10s", got)
	}
	tr.decoding(1, 10) // half a track of 20 s, at 11 s
	if got := tr.left(11 * time.Second); got != 9*time.Second {
		t.Errorf("left %v, want 9s", got)
	}
}

func TestScanRefuses(t *testing.T) {
	dir, db := smallLibrary(t), openTemp(t)
	for _, c := range []struct {
		name string
		dirs []string
		o    Options
		want error
		text string
	}{
		{"a file", []string{dir + "/a.wav"}, Options{}, ErrNotFolder, dir + "/a.wav"},
		{"no such folder", []string{dir, dir + "/nowhere"}, Options{}, fs.ErrNotExist, dir + "/nowhere"},
		{"a bad pattern", []string{dir}, Options{Released: []string{"a[b"}}, status.ErrPattern, "a[b"},
		{"nothing", nil, Options{}, nil, "no folder"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := Run(context.Background(), db, c.dirs, c.o)
			if err == nil || (c.want != nil && !errors.Is(err, c.want)) || !strings.Contains(err.Error(), c.text) {
				t.Errorf("error %v, want %v with %q", err, c.want, c.text)
			}
		})
	}
}
