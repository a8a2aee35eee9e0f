//go:build linux

package store

import (
	"context"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"dubgauge/library/track"
)

// mounted mounts a small file system in memory for the test, where that is allowed.
func mounted(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	if out, err := exec.Command("mount", "-t", "tmpfs", "-o", "size=1m", "tmpfs", dir).CombinedOutput(); err != nil {
		t.Skipf("no file system can be mounted here: %s", strings.TrimSpace(string(out)))
	}
	t.Cleanup(func() { _ = exec.Command("umount", "-l", dir).Run() })
	return dir
}

// fill leaves no room on the disk of dir.
func fill(t *testing.T, dir string) {
	t.Helper()
	f, err := os.Create(filepath.Join(dir, "fill"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	for block := make([]byte, 4096); ; {
		if _, err := f.Write(block); errors.Is(err, syscall.ENOSPC) {
			return
		} else if err != nil {
			t.Fatal(err)
		}
	}
}

func ignore(m track.Marks) track.Marks { m.Ignore = true; return m }

// TestFullDisk: what is stored can be read, and a write says that the disk is full.
func TestFullDisk(t *testing.T) {
	for _, before := range []bool{true, false} { // a database is there
		dir := mounted(t)
		path := filepath.Join(dir, "library.db")
		if before {
			db := stored(t, 3)
			rawDB(t, db.Path(), `VACUUM INTO '`+path+`'`)
		}
		fill(t, dir)
		db, err := Open(context.Background(), path)
		if !before {
			var e *Error
			if !errors.As(err, &e) || e.Trouble != Full {
				t.Errorf("a new database: error %v, want %q", err, Full)
			}
			continue
		}
		if err != nil {
			t.Fatal(err)
		}
		if n := len(tracksOf(t, db, TrackOptions{Full: true})); n != 3 {
			t.Errorf("%d tracks can be read, want 3", n)
		}
		_, err = db.SetMarks(t.Context(), []int64{1}, ignore)
		var e *Error
		if !errors.As(err, &e) || e.Trouble != Full {
			t.Errorf("a write: error %v, want %q", err, Full)
		}
		db.Close()
		if err := os.Remove(filepath.Join(dir, "fill")); err != nil {
			t.Fatal(err)
		}
		db, err = Open(context.Background(), path)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := db.SetMarks(t.Context(), []int64{1}, ignore); err != nil {
			t.Errorf("with room again: %v", err)
		}
		db.Close()
	}
}

// TestReadOnlyMediumWithALog: on a medium that cannot be written to, what is only in the
// log is read as well.
func TestReadOnlyMediumWithALog(t *testing.T) {
	dir := mounted(t)
	writer := stored(t, 5)
	rawDB(t, writer.Path(), `PRAGMA wal_checkpoint(TRUNCATE)`)
	if _, err := writer.SetMarks(t.Context(), []int64{1, 2}, ignore); err != nil { // only in the log
		t.Fatal(err)
	}
	for _, end := range []string{"", "-wal"} {
		data, err := os.ReadFile(writer.Path() + end)
		if err != nil || len(data) == 0 {
			t.Fatalf("%q has %d bytes, error %v", end, len(data), err)
		}
		if err := os.WriteFile(filepath.Join(dir, "library.db"+end), data, 0o444); err != nil {
			t.Fatal(err)
		}
	}
	if out, err := exec.Command("mount", "-o", "remount,ro", dir).CombinedOutput(); err != nil {
		t.Skipf("it cannot be made read-only: %s", out)
	}
	db, err := Open(context.Background(), filepath.Join(dir, "library.db"))
	if err != nil {
		t.Fatal(err)
	}
	ignored := 0
	for _, tr := range tracksOf(t, db, TrackOptions{IncludeIgnored: true}) {
		if tr.Marks.Ignore {
			ignored++
		}
	}
	if ignored != 2 {
		t.Errorf("%d tracks are ignored, want the 2 of the log", ignored)
	}
	if _, err := db.SetMarks(t.Context(), []int64{1}, ignore); !errors.Is(err, ErrReadOnly) || !strings.Contains(err.Error(), dir) {
		t.Errorf("a write: error %v, want %v of %s", err, ErrReadOnly, dir)
	}
	aside := db.aside
	if err := db.Close(); err != nil {
		t.Error(err)
	}
	if _, err := os.Stat(aside); aside == "" || err == nil {
		t.Errorf("the copy %q is left", aside)
	}
}
