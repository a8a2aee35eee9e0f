package scan

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"
	"strings"
	"testing"

	"dubgauge/library/madeup"
	"dubgauge/library/store"
)

// unmounted is a file system whose mount point stays behind as an empty folder.
type unmounted struct {
	FS
	at   string
	gone func() bool
}

func (u unmounted) absent(op, path string) error {
	if u.gone() && path != u.at && strings.HasPrefix(path, u.at) {
		return &fs.PathError{Op: op, Path: path, Err: fs.ErrNotExist}
	}
	return nil
}

func (u unmounted) Open(path string) (File, error) {
	if err := u.absent("open", path); err != nil {
		return nil, err
	}
	return u.FS.Open(path)
}

func (u unmounted) Stat(path string) (fs.FileInfo, error) {
	if err := u.absent("stat", path); err != nil {
		return nil, err
	}
	return u.FS.Stat(path)
}

func (u unmounted) Lstat(path string) (fs.FileInfo, error) {
	if err := u.absent("lstat", path); err != nil {
		return nil, err
	}
	return u.FS.Lstat(path)
}

func (u unmounted) ReadDir(path string) ([]fs.DirEntry, error) {
	if err := u.absent("open", path); err != nil {
		return nil, err
	}
	if u.gone() && path == u.at {
		return nil, nil
	}
	return u.FS.ReadDir(path)
}

// TestUnpluggedStick: a stick that leaves an empty mount point is one event, wherever
// the scan is then; a file that was deleted is another.
func TestUnpluggedStick(t *testing.T) {
	const files = 20
	for _, c := range []struct {
		name string
		gone func(c *counter, calls *int) bool
	}{
		{"while measuring", func(c *counter, _ *int) bool { return c.n.Load() >= 5 }},
		{"while walking", func(_ *counter, calls *int) bool { *calls++; return *calls > 12 }},
	} {
		t.Run(c.name, func(t *testing.T) {
			dir, db := t.TempDir(), openTemp(t)
			for i := range files {
				madeup.WriteFile(t, filepath.Join(dir, fmt.Sprintf("%d/%02d.wav", i%4, i)), madeup.WAV(uint32(i), 100+i))
			}
			var count counter
			var calls int
			u := unmounted{OS, dir, func() bool { return c.gone(&count, &calls) }}
			r, err := Run(context.Background(), db, []string{dir}, Options{FS: u, Workers: 1, measure: count.measure})
			var m *MediumError
			if !errors.As(err, &m) || m.Root != dir {
				t.Errorf("error %v, want that %s no longer answers", err, dir)
			}
			if len(r.Problems) > 0 || r.Missing > 0 || r.Failed > 0 {
				t.Errorf("report %+v, want nothing but the one event", r)
			}
			if n := len(tracksOf(t, db, store.TrackOptions{})); n != r.Measured {
				t.Errorf("%d tracks are stored, %d were measured", n, r.Measured)
			}
		})
	}
}
