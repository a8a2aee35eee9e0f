package scan

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"dubgauge/library/madeup"
	"dubgauge/library/store"
	"dubgauge/library/track"
)

// longSamples make a file of over 384 KiB, of which the sampled fingerprint leaves
// out most (track.ContentOf).
const longSamples = 600_000

// blindSpot is a byte that the sampled fingerprint of such a file does not see.
const blindSpot = 64<<10 + 4<<10 + 100

// longStick is a stick of n long files, all saved a day ago.
func longStick(t testing.TB, n int) string {
	t.Helper()
	dir := t.TempDir()
	saved := time.Now().Add(-24 * time.Hour)
	for i := range n {
		path := filepath.Join(dir, fmt.Sprintf("Folder %d/track %02d.wav", i%3, i))
		madeup.WriteFile(t, path, madeup.WAV(uint32(i), longSamples+i))
		stamp(t, path, saved.Add(time.Duration(i)*time.Minute+time.Duration(i)*time.Microsecond))
	}
	return dir
}

func stamp(t testing.TB, path string, at time.Time) {
	t.Helper()
	if err := os.Chtimes(path, time.Time{}, at); err != nil {
		t.Fatal(err)
	}
}

// resave changes one byte in the middle of a file, at the same length, and leaves
// the time stamp d later.
func resave(t testing.TB, path string, d time.Duration) {
	t.Helper()
	fi, err := os.Stat(path)
	if err != nil {
		t.Fatal(err)
	}
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	data[blindSpot] ^= 0x55
	madeup.WriteFile(t, path, data)
	stamp(t, path, fi.ModTime().Add(d))
}

func eachFile(t testing.TB, dir string, do func(path string)) {
	t.Helper()
	files, err := filepath.Glob(dir + "/*/*.wav")
	if err != nil || len(files) == 0 {
		t.Fatalf("no files: %v", err)
	}
	for _, f := range files {
		do(f)
	}
}

// shiftAll moves the time stamps of all files.
func shiftAll(t testing.TB, dir string, d time.Duration) {
	t.Helper()
	eachFile(t, dir, func(path string) {
		fi, err := os.Stat(path)
		if err != nil {
			t.Fatal(err)
		}
		stamp(t, path, fi.ModTime().Add(d))
	})
}

// readCount is a file system that counts the bytes that are read.
type readCount struct {
	FS
	n *atomic.Int64
}

func (c readCount) Open(path string) (File, error) {
	f, err := c.FS.Open(path)
	return countedFile{f, c.n}, err
}

type countedFile struct {
	File
	n *atomic.Int64
}

func (f countedFile) ReadAt(b []byte, at int64) (int, error) {
	n, err := f.File.ReadAt(b, at)
	f.n.Add(int64(n))
	return n, err
}

// checkFigures sees that every track that is there has the figures of its file as it is.
func checkFigures(t testing.TB, db *store.DB) {
	t.Helper()
	for _, tr := range tracksOf(t, db, store.TrackOptions{}) {
		data, err := os.ReadFile(tr.DiskPath())
		if err != nil {
			t.Error(err)
			continue
		}
		if tr.Loudness.Loudest30sLUFS != round4(levelOf(data)) {
			t.Errorf("%s has the figures of another file", tr.Path)
		}
	}
}

// TestFixedMaster: a file that was saved anew at the same length, with a difference
// that no sample of it shows, is measured anew: where it is, under a new name, and on
// a stick whose clock has moved.
func TestFixedMaster(t *testing.T) {
	const master = "Folder 1/track 04.wav"
	for _, c := range []struct {
		name   string
		change func(t *testing.T, dir string)
		want   store.Report
	}{
		{"saved anew", func(t *testing.T, d string) { resave(t, d+"/"+master, 10*time.Minute) }, store.Report{Measured: 1, Unchanged: 11}},
		{"saved anew an hour later", func(t *testing.T, d string) { resave(t, d+"/"+master, time.Hour) }, store.Report{Measured: 1, Unchanged: 11}},
		{"saved anew and renamed", func(t *testing.T, d string) {
			resave(t, d+"/"+master, 10*time.Minute)
			if err := os.Rename(d+"/"+master, d+"/Folder 1/final.wav"); err != nil {
				t.Fatal(err)
			}
		}, store.Report{Measured: 1, Unchanged: 11, Missing: 1}},
		{"saved anew, then the clock moved", func(t *testing.T, d string) {
			resave(t, d+"/"+master, 10*time.Minute)
			shiftAll(t, d, -time.Hour)
		}, store.Report{Measured: 1, Unchanged: 11}},
		{"the other version beside it", func(t *testing.T, d string) {
			data, err := os.ReadFile(d + "/" + master)
			if err != nil {
				t.Fatal(err)
			}
			data[blindSpot] ^= 0x55
			madeup.WriteFile(t, d+"/Folder 1/final.wav", data)
		}, store.Report{Measured: 1, Unchanged: 12}},
	} {
		t.Run(c.name, func(t *testing.T) {
			dir, db := longStick(t, 12), openTemp(t)
			scanCounted(t, db, Options{}, dir)
			c.change(t, dir)
			r, _ := scanCounted(t, db, Options{}, dir)
			if r.Measured != c.want.Measured || r.Unchanged != c.want.Unchanged || r.Missing != c.want.Missing {
				t.Errorf("%d measured, %d unchanged, %d missing; want %d, %d, %d", r.Measured, r.Unchanged, r.Missing,
					c.want.Measured, c.want.Unchanged, c.want.Missing)
			}
			checkFigures(t, db)
			for _, tr := range tracksOf(t, db, store.TrackOptions{}) {
				for _, f := range tr.Faults {
					if f.Kind == "duplicate" && strings.Contains(f.Detail, "same file") {
						t.Errorf("%s: two versions are the same file: %s", tr.Path, f.Detail)
					}
				}
			}
		})
	}
}

// TestOnlyTheStamp: a file that is as it was but for its time stamp is unchanged, and
// is read once whole to know.
func TestOnlyTheStamp(t *testing.T) {
	dir, db := longStick(t, 12), openTemp(t)
	scanCounted(t, db, Options{}, dir)
	path := dir + "/Folder 1/track 04.wav"
	stamp(t, path, time.Now().Add(-12345*time.Second))
	var n atomic.Int64
	if r, _ := scanCounted(t, db, Options{FS: readCount{OS, &n}}, dir); r.Unchanged != 12 {
		t.Errorf("report %+v, want all unchanged", r)
	}
	fi, err := os.Stat(path)
	if err != nil {
		t.Fatal(err)
	}
	if got := n.Load(); got < fi.Size() || got > 2*fi.Size() {
		t.Errorf("%d bytes were read of one file of %d", got, fi.Size())
	}
	if scanCounted(t, db, Options{FS: readCount{OS, &n}}, dir); n.Load() > 2*fi.Size() {
		t.Error("it was read again")
	}
}

// TestClock: time stamps that moved together by whole hours, or by the two seconds
// that FAT rounds to, are the clock's doing: some files are read whole, the rest
// believed; unless one of those read is another.
func TestClock(t *testing.T) {
	const files = 40
	round := func(t *testing.T, dir string) {
		eachFile(t, dir, func(path string) {
			fi, err := os.Stat(path)
			if err != nil {
				t.Fatal(err)
			}
			stamp(t, path, fi.ModTime().Truncate(2*time.Second))
		})
	}
	spread := func(t *testing.T, dir string) { // by no common time
		i := 0
		eachFile(t, dir, func(path string) { i++; stamp(t, path, time.Now().Add(-time.Duration(i)*777*time.Second)) })
	}
	newest := "/Folder 0/track 39.wav" // is always among those that are read
	for _, c := range []struct {
		name     string
		change   func(t *testing.T, dir string)
		measured int
		whole    int // files read whole at most; not fewer than half as many
	}{
		{"summer time", func(t *testing.T, d string) { shiftAll(t, d, time.Hour) }, 0, clockSample + 1},
		{"another time zone", func(t *testing.T, d string) { shiftAll(t, d, -5*time.Hour-45*time.Minute) }, 0, clockSample + 1},
		{"FAT rounds", round, 0, clockSample + 1},
		{"FAT rounds, and summer time", func(t *testing.T, d string) { round(t, d); shiftAll(t, d, time.Hour) }, 0, clockSample + 1},
		{"no common time", spread, 0, files},
		{"a part of a second, not rounded", func(t *testing.T, d string) { shiftAll(t, d, 700*time.Millisecond) }, 0, files},
		{"summer time for three in four", func(t *testing.T, d string) {
			i := 0
			eachFile(t, d, func(path string) {
				fi, err := os.Stat(path)
				if err != nil {
					t.Fatal(err)
				}
				if i++; i%4 > 0 {
					stamp(t, path, fi.ModTime().Add(time.Hour))
				}
			})
		}, 0, files * 3 / 4},
		{"twenty minutes", func(t *testing.T, d string) { shiftAll(t, d, 20*time.Minute) }, 0, files},
		{"summer time, and one of those read is another", func(t *testing.T, d string) {
			resave(t, d+newest, 0)
			shiftAll(t, d, time.Hour)
		}, 1, files + 2},
	} {
		t.Run(c.name, func(t *testing.T) {
			dir, db := longStick(t, files), openTemp(t)
			scanCounted(t, db, Options{}, dir)
			c.change(t, dir)
			var n atomic.Int64
			r, _ := scanCounted(t, db, Options{FS: readCount{OS, &n}}, dir)
			if r.Measured != c.measured || r.Unchanged != files-c.measured {
				t.Errorf("%d measured, %d unchanged; want %d measured", r.Measured, r.Unchanged, c.measured)
			}
			const size = 2*longSamples + 44
			// What is read whole has its samples read besides, 0.3 of a file.
			if got := float64(n.Load()) / size; got > 1.4*float64(c.whole) || got < 0.5*float64(c.whole) {
				t.Errorf("%.1f files' worth was read, want about %d", got, c.whole)
			}
			checkFigures(t, db)
			if r, _ := scanCounted(t, db, Options{FS: failing{FS: OS, fail: refuse}}, dir); r.Unchanged != files {
				t.Errorf("the next scan: %+v, want nothing read", r)
			}
		})
	}
}

// refuse lets folders be listed and no file be read.
func refuse(path string) error {
	if filepath.Ext(path) == ".wav" {
		return &os.PathError{Op: "read", Path: path, Err: os.ErrPermission}
	}
	return nil
}

// mark names a track as a reference.
func mark(t testing.TB, db *store.DB, id int64) {
	t.Helper()
	if _, err := db.SetMarks(t.Context(), []int64{id}, func(m track.Marks) track.Marks { m.Reference = true; return m }); err != nil {
		t.Fatal(err)
	}
}
