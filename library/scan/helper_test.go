package scan

import (
	"context"
	"crypto/sha256"
	"errors"
	"io"
	"io/fs"
	"math"
	"path/filepath"
	"sync/atomic"
	"syscall"
	"testing"

	"dubgauge/detect"
	"dubgauge/library/store"
	"dubgauge/library/track"
)

// openTemp opens a new database that the test closes.
func openTemp(t testing.TB) *store.DB {
	t.Helper()
	db, err := store.Open(context.Background(), filepath.Join(t.TempDir(), "library.db"))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := db.Close(); err != nil {
			t.Error(err)
		}
	})
	return db
}

// counter measures without decoding: the level is made up from the content, so
// that a test sees whose measurement a track has; and it counts.
type counter struct{ n atomic.Int64 }

func (c *counter) measure(ctx context.Context, fsys FS, path string, progress func(float64)) (track.Record, error, error) {
	c.n.Add(1)
	r := track.Record{Measurement: detect.Empty()}
	f, fi, err := openRegular(fsys, path)
	if err != nil {
		return unreadable(r, err), err, nil
	}
	defer f.Close()
	data, err := io.ReadAll(io.NewSectionReader(f, 0, fi.Size()))
	if err != nil {
		return unreadable(r, err), err, nil
	}
	r.File = detect.File{Format: "wav", SizeBytes: fi.Size(), DurationS: 1}
	r.Loudness.Loudest30sLUFS = levelOf(data)
	progress(1)
	return r, nil, ctx.Err()
}

// levelOf is the level that counter makes up, -20 to -5 LUFS.
func levelOf(data []byte) detect.Value {
	h := sha256.Sum256(data)
	return detect.Value(-20 + float64(h[0])*15/256)
}

// scanCounted scans with a counter and returns how many were measured.
func scanCounted(t testing.TB, db *store.DB, o Options, dirs ...string) (store.Report, int) {
	t.Helper()
	var c counter
	o.measure = c.measure
	r, err := Run(context.Background(), db, dirs, o)
	if err != nil {
		t.Fatalf("scan %v: %v", dirs, err)
	}
	if got := int(c.n.Load()); got != r.Measured {
		t.Errorf("the report says %d measured, %d were", r.Measured, got)
	}
	if sum := r.Measured + r.Unchanged + r.Moved + r.Copied; sum != r.Total {
		t.Errorf("report %+v: the parts sum to %d", r, sum)
	}
	return r, int(c.n.Load())
}

func tracksOf(t testing.TB, db *store.DB, o store.TrackOptions) []track.Track {
	t.Helper()
	tracks, err := db.Tracks(context.Background(), o)
	if err != nil {
		t.Fatal(err)
	}
	return tracks
}

func pathsOf(tracks []track.Track) []string {
	paths := []string{}
	for _, t := range tracks {
		paths = append(paths, t.Path)
	}
	return paths
}

// byPath finds a track.
func byPath(t testing.TB, db *store.DB, path string) track.Track {
	t.Helper()
	for _, tr := range tracksOf(t, db, store.TrackOptions{IncludeIgnored: true, IncludeMissing: true}) {
		if tr.Path == path {
			return tr
		}
	}
	t.Fatalf("no track %q", path)
	return track.Track{}
}

// round4 is what the record's four decimals leave of a number.
func round4(v detect.Value) detect.Value { return detect.Value(math.Round(float64(v)*1e4) / 1e4) }

// failing is a file system in which opening and reading the files fails as fail
// says; nil is success. gone makes everything vanish, as a pulled stick.
type failing struct {
	FS
	fail func(path string) error
	gone func() bool
}

func (f failing) vanished(op, path string) error {
	if f.gone != nil && f.gone() {
		return &fs.PathError{Op: op, Path: path, Err: fs.ErrNotExist}
	}
	return nil
}

func (f failing) Open(path string) (File, error) {
	if err := f.vanished("open", path); err != nil {
		return nil, err
	}
	if f.fail != nil {
		if err := f.fail(path); errors.Is(err, fs.ErrPermission) {
			return nil, err
		}
	}
	h, err := f.FS.Open(path)
	if err != nil {
		return nil, err
	}
	return failingFile{h, f, path}, nil
}

func (f failing) Stat(path string) (fs.FileInfo, error) {
	if err := f.vanished("stat", path); err != nil {
		return nil, err
	}
	return f.FS.Stat(path)
}

func (f failing) Lstat(path string) (fs.FileInfo, error) {
	if err := f.vanished("lstat", path); err != nil {
		return nil, err
	}
	return f.FS.Lstat(path)
}

func (f failing) ReadDir(path string) ([]fs.DirEntry, error) {
	if err := f.vanished("open", path); err != nil {
		return nil, err
	}
	if f.fail != nil {
		if err := f.fail(path); err != nil {
			return nil, err
		}
	}
	return f.FS.ReadDir(path)
}

type failingFile struct {
	File
	fs   failing
	path string
}

func (f failingFile) ReadAt(b []byte, at int64) (int, error) {
	if f.fs.gone != nil && f.fs.gone() {
		return 0, &fs.PathError{Op: "read", Path: f.path, Err: syscall.EIO}
	}
	if f.fs.fail != nil {
		if err := f.fs.fail(f.path); err != nil {
			return 0, err
		}
	}
	return f.File.ReadAt(b, at)
}
