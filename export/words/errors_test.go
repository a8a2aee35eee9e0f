package words

import (
	"context"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"dubgauge/library"
)

// TestErrorsOfTheLibrary: what the library runs into is told with its place and
// with what to do.
func TestErrorsOfTheLibrary(t *testing.T) {
	dir, ctx := t.TempDir(), context.Background()
	text := filepath.Join(dir, "text")
	if err := os.WriteFile(text, []byte("this is no database"), 0o644); err != nil {
		t.Fatal(err)
	}
	db, err := library.Open(ctx, filepath.Join(dir, "library.db"))
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	open := func(path string) error {
		d, err := library.Open(ctx, path)
		if err == nil {
			d.Close()
		}
		return err
	}
	scan := func(dirs ...string) error {
		_, err := library.Scan(ctx, db, dirs, library.ScanOptions{})
		return err
	}
	track := func(id int64) error { _, err := db.Track(ctx, id); return err }
	mark := func(id int64) error {
		_, err := db.SetMarks(ctx, []int64{id}, func(m library.Marks) library.Marks { return m })
		return err
	}
	for _, c := range []struct {
		name string
		err  error
		want string
	}{
		{"a folder for a database", open(dir), dir + ": is a folder: not a database of dubgauge; give a file with --db FILE"},
		{"a text for a database", open(text), text + ": not a database of dubgauge; it was left as it is: give another file with --db FILE"},
		{"below a file", open(text + "/x.db"), text + "/x.db: cannot open the database: not a directory; give another file with --db FILE"},
		{"no folder", scan(), "no folder was given: `dubgauge scan DIR`"},
		{"a file for a folder", scan(text), text + ": not a folder: `dubgauge measure` takes files"},
		{"no such folder", scan(dir + "/gone"), dir + "/gone: there is no such folder: check the name, and that the disk is plugged in: file does not exist"},
		{"no such track", track(12), "#12: no such track: `dubgauge list` shows what there is"},
		{"no such track to mark", mark(12), "#12: no such track: `dubgauge list` shows what there is"},
		{"the disk", &library.MediumError{Root: "/stick", Err: &fs.PathError{Op: "read", Path: "/stick/a.wav", Err: syscall.EIO}},
			"/stick: the disk no longer answers (input/output error): what was measured is kept; plug it in again and repeat the scan, it goes on from here"},
		{"two", errors.Join(track(1), scan()), "#1: no such track: `dubgauge list` shows what there is\nno folder was given: `dubgauge scan DIR`"},
		{"another", errors.New("the needle is gone"), "the needle is gone"},
	} {
		if c.err == nil {
			t.Errorf("%s: no error", c.name)
		} else if got := Error(c.err); got != c.want {
			t.Errorf("%s:\n got %s\nwant %s", c.name, got, c.want)
		}
	}
}

// TestEveryTroubleHasWords: with the file, the cause and a next step.
func TestEveryTroubleHasWords(t *testing.T) {
	told := map[library.Trouble]bool{}
	for _, trouble := range []library.Trouble{
		library.NoPlace, library.NoFolder, library.CannotOpen, library.CannotWrite, library.IsFolder, library.NotRegular, library.Foreign,
		library.OtherProgram, library.TooNew, library.TooOld, library.Locked, library.Unwritable, library.Busy, library.Damaged, library.Full, library.BadDisk, library.Moved,
	} {
		e := &library.DatabaseError{Path: "/data/{why}.db", Trouble: trouble, Version: 41, Known: 42, Err: errors.New("some cause")}
		got := Error(e)
		if trouble != library.NoPlace && !strings.HasPrefix(got, e.Path+": ") {
			t.Errorf("%s: %q does not begin with the file", trouble, got)
		}
		versions := trouble == library.TooNew || trouble == library.TooOld
		if has := strings.Contains(got, "41") && strings.Contains(got, "42"); has != versions {
			t.Errorf("%s: %q, with versions: %v", trouble, got, versions)
		}
		if strings.Count(got, "some cause") != 1 {
			t.Errorf("%s: %q does not name the cause once", trouble, got)
		}
		if trouble == library.Busy != strings.Contains(got, "20 s") {
			t.Errorf("%s: %q, and how long was waited", trouble, got)
		}
		told[trouble] = true
	}
	for trouble := range databaseWords {
		if !told[trouble] {
			t.Errorf("%s has words, and nothing tells that they are right", trouble)
		}
	}
}
