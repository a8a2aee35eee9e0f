package store

import (
	"errors"
	"os"
	"path/filepath"
	"testing"

	"dubgauge/library/track"
)

// A database that was renamed, deleted or replaced while it is open is not written to, nor is
// what stands in its place, and the error says so.
func TestMovedDatabase(t *testing.T) {
	mark := func(db *DB) error {
		_, err := db.SetMarks(t.Context(), []int64{1}, func(m track.Marks) track.Marks { m.Ignore = !m.Ignore; return m })
		return err
	}
	foreign := append([]byte(sqliteHeader), make([]byte, 4080)...)
	foreign[applicationAt] = 0x12
	for name, move := range map[string]func(path string) error{
		"renamed": func(p string) error { return os.Rename(p, p+".old") },
		"deleted": os.Remove,
		"replaced by another file": func(p string) error {
			return errors.Join(os.Rename(p, p+".old"), os.WriteFile(p, []byte("a list of my own"), 0o600))
		},
		"replaced by another library's": func(p string) error {
			other, err := Open(t.Context(), p+".other")
			if err != nil {
				return err
			}
			return errors.Join(other.Close(), os.Rename(p+".other", p))
		},
		"written over by another program": func(p string) error { return os.WriteFile(p, foreign, 0o600) },
	} {
		path := filepath.Join(t.TempDir(), "library.db")
		db, err := Open(t.Context(), path)
		if err != nil {
			t.Fatal(err)
		}
		if err := mark(db); !errors.Is(err, ErrNoTrack) {
			t.Fatalf("before: %v", err)
		}
		if err := move(path); err != nil {
			t.Fatal(err)
		}
		before, _ := os.ReadFile(path)
		err = mark(db)
		var e *Error
		if !errors.As(err, &e) || e.Trouble != Moved || e.Path != path || !errors.Is(err, ErrMoved) {
			t.Errorf("%s: %v", name, err)
		}
		if after, _ := os.ReadFile(path); string(after) != string(before) {
			t.Errorf("%s: what stands there was written to", name)
		}
		db.Close()
	}
}
