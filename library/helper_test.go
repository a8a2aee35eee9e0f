package library

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"sync/atomic"
	"syscall"
	"testing"

	"dubgauge/detect"
)

// openTemp opens a new database that the test closes.
func openTemp(t testing.TB) *DB {
	t.Helper()
	db, err := Open(context.Background(), filepath.Join(t.TempDir(), "library.db"))
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

// writeFile writes a file with its folders.
func writeFile(t testing.TB, path string, data []byte) {
	t.Helper()
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, data, 0o644); err != nil {
		t.Fatal(err)
	}
}

// wavBytes is a WAV file (RIFF, PCM 16 bit, 8 kHz, mono) of n samples that seed
// tells from others.
func wavBytes(seed uint32, n int) []byte {
	var b bytes.Buffer
	le := binary.LittleEndian
	b.WriteString("RIFF")
	b.Write(le.AppendUint32(nil, uint32(36+2*n)))
	b.WriteString("WAVEfmt ")
	b.Write(le.AppendUint32(nil, 16))
	b.Write(le.AppendUint16(nil, 1))
	b.Write(le.AppendUint16(nil, 1))
	b.Write(le.AppendUint32(nil, 8000))
	b.Write(le.AppendUint32(nil, 16000))
	b.Write(le.AppendUint16(nil, 2))
	b.Write(le.AppendUint16(nil, 16))
	b.WriteString("data")
	b.Write(le.AppendUint32(nil, uint32(2*n)))
	x := seed*2654435761 + 1
	for range n {
		x = x*1664525 + 1013904223
		b.Write(le.AppendUint16(nil, uint16(int16(x>>16)/4)))
	}
	return b.Bytes()
}

// counter measures without decoding: the level is made up from the content, so
// that a test sees whose measurement a track has; and it counts.
type counter struct{ n atomic.Int64 }

func (c *counter) measure(ctx context.Context, fsys FS, path string, progress func(float64)) (Record, error, error) {
	c.n.Add(1)
	r := Record{Measurement: detect.Empty()}
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
func scanCounted(t testing.TB, db *DB, o ScanOptions, dirs ...string) (Report, int) {
	t.Helper()
	var c counter
	o.measure = c.measure
	r, err := Scan(context.Background(), db, dirs, o)
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

func tracksOf(t testing.TB, db *DB, o TrackOptions) []Track {
	t.Helper()
	tracks, err := db.Tracks(context.Background(), o)
	if err != nil {
		t.Fatal(err)
	}
	return tracks
}

func pathsOf(tracks []Track) []string {
	paths := []string{}
	for _, t := range tracks {
		paths = append(paths, t.Path)
	}
	return paths
}

// byPath finds a track.
func byPath(t testing.TB, db *DB, path string) Track {
	t.Helper()
	for _, tr := range tracksOf(t, db, TrackOptions{IncludeIgnored: true, IncludeMissing: true}) {
		if tr.Path == path {
			return tr
		}
	}
	t.Fatalf("no track %q", path)
	return Track{}
}

// snapshot is the bytes and time stamps of all that is below dir.
func snapshot(t testing.TB, dir string) map[string]string {
	t.Helper()
	all := map[string]string{}
	err := filepath.WalkDir(dir, func(p string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		fi, err := d.Info()
		if err != nil {
			return err
		}
		sum := ""
		if d.Type().IsRegular() {
			data, err := os.ReadFile(p)
			if err != nil {
				return err
			}
			sum = fmt.Sprintf("%x", sha256.Sum256(data))
		}
		all[p] = fmt.Sprintf("%v %d %v %s", fi.Mode(), fi.Size(), fi.ModTime().UnixNano(), sum)
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return all
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

func itoa(n int64) string { return strconv.FormatInt(n, 10) }
