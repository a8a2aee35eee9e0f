package output

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
)

const mine = "mine: "

func ours(head []byte) bool { return bytes.HasPrefix(head, []byte(mine)) }

func put(t *testing.T, path, text string) {
	t.Helper()
	if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
}

func text(s string) func(io.Writer) error {
	return func(w io.Writer) error { _, err := io.WriteString(w, s); return err }
}

// contents are the files below a folder.
func contents(t *testing.T, dir string) map[string]string {
	t.Helper()
	entries, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	all := map[string]string{}
	for _, e := range entries {
		data, err := os.ReadFile(filepath.Join(dir, e.Name()))
		if err != nil {
			t.Fatal(err)
		}
		all[e.Name()] = string(data)
	}
	return all
}

func TestWhatIsReplaced(t *testing.T) {
	keep := func(path string) (string, error) {
		if filepath.Base(path) == "kept" {
			return "must stay", nil
		}
		return "", nil
	}
	for _, c := range []struct {
		name, before string // before: - is no file
		overwrite    bool
		refused      string
	}{
		{"new", "-", false, ""},
		{"empty", "", false, ""},
		{"ours", mine + "old", false, ""},
		{"theirs", "other", false, "not written by dubgauge"},
		{"theirs", "other", true, ""},
		{"kept", mine + "old", false, "must stay"},
		{"kept", "other", true, "must stay"},
		{"kept", "-", true, "must stay"},
	} {
		t.Run(fmt.Sprintf("%s %q %v", c.name, c.before, c.overwrite), func(t *testing.T) {
			dir := t.TempDir()
			path := filepath.Join(dir, c.name)
			if c.before != "-" {
				put(t, path, c.before)
			}
			err := Write(t.Context(), path, Options{Overwrite: c.overwrite, Ours: ours, Keep: keep}, text(mine+"new"))
			var r *Refusal
			if (c.refused != "") != errors.As(err, &r) || (c.refused != "") != (err != nil) {
				t.Fatalf("error %v, want a refusal: %q", err, c.refused)
			}
			want := map[string]string{c.name: mine + "new"}
			if c.refused != "" {
				if !strings.Contains(err.Error(), c.refused) || !strings.Contains(err.Error(), path) {
					t.Errorf("error %q, want %q of %s", err, c.refused, path)
				}
				want = map[string]string{c.name: c.before}
				if c.before == "-" {
					want = map[string]string{}
				}
			}
			if got := contents(t, dir); fmt.Sprint(got) != fmt.Sprint(want) {
				t.Errorf("the folder has %q, want %q", got, want)
			}
		})
	}
}

// TestFreshReplacesNothing: not ours, not an empty file, not when told to; what goes back to
// its beginning is written as a whole.
func TestFreshReplacesNothing(t *testing.T) {
	dir := t.TempDir()
	for name, before := range map[string]string{"ours": mine, "empty": ""} {
		put(t, dir+"/"+name, before)
		o := Options{Fresh: true, Overwrite: true, Ours: ours}
		err := Write(t.Context(), dir+"/"+name, o, text("new"))
		if !errors.As(err, new(*Refusal)) || Free(dir+"/"+name, o) == nil {
			t.Errorf("%s: error %v", name, err)
		}
		if got := contents(t, dir)[name]; got != before {
			t.Errorf("%s: %q", name, got)
		}
	}
	err := WriteFile(t.Context(), dir+"/new", Options{Fresh: true}, func(w io.WriteSeeker) error {
		if _, err := io.WriteString(w, "xxxx rest"); err != nil {
			return err
		}
		if _, err := w.Seek(0, io.SeekStart); err != nil {
			return err
		}
		_, err := io.WriteString(w, "head")
		return err
	})
	if got := contents(t, dir)["new"]; err != nil || got != "head rest" || Free(dir+"/other", Options{Fresh: true}) != nil {
		t.Errorf("%q, error %v", got, err)
	}
}

// TestPermissionsStay: a file that only its owner may read stays so.
func TestPermissionsStay(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("permissions are others there")
	}
	dir := t.TempDir()
	put(t, dir+"/a", mine)
	for _, c := range []struct {
		name string
		want os.FileMode
	}{{"a", 0o600}, {"b", 0o644}} {
		if err := Write(t.Context(), dir+"/"+c.name, Options{Ours: ours}, text(mine)); err != nil {
			t.Fatal(err)
		}
		if fi, err := os.Stat(dir + "/" + c.name); err != nil || fi.Mode() != c.want {
			t.Errorf("%s: %v, error %v; want %v", c.name, fi.Mode(), err, c.want)
		}
	}
}

// TestNothingIsLeft: whatever ends a write, the file is as it was and alone.
func TestNothingIsLeft(t *testing.T) {
	broken := errors.New("broken")
	for _, c := range []struct {
		name  string
		write func(ctx context.Context, cancel func(), dir string) func(io.Writer) error
		want  error
	}{
		{"an error", func(context.Context, func(), string) func(io.Writer) error {
			return func(w io.Writer) error { _, _ = io.WriteString(w, "half"); return broken }
		}, broken},
		{"cancelled in the middle", func(_ context.Context, cancel func(), _ string) func(io.Writer) error {
			return func(w io.Writer) error {
				_, _ = io.WriteString(w, "half")
				cancel()
				_, err := io.WriteString(w, "the rest")
				return err
			}
		}, context.Canceled},
		{"cancelled at the end", func(_ context.Context, cancel func(), _ string) func(io.Writer) error {
			return func(w io.Writer) error { _, err := io.WriteString(w, "all"); cancel(); return err }
		}, context.Canceled},
		{"another's file came meanwhile", func(_ context.Context, _ func(), dir string) func(io.Writer) error {
			return func(w io.Writer) error { return os.WriteFile(dir+"/a", []byte("other"), 0o644) }
		}, nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			dir := t.TempDir()
			put(t, dir+"/a", mine+"old")
			ctx, cancel := context.WithCancel(t.Context())
			defer cancel()
			err := Write(ctx, dir+"/a", Options{Ours: ours}, c.write(ctx, cancel, dir))
			if err == nil || (c.want != nil && !errors.Is(err, c.want)) {
				t.Errorf("error %v, want %v", err, c.want)
			}
			want := mine + "old"
			if c.want == nil {
				want = "other"
			}
			if got := contents(t, dir); len(got) != 1 || got["a"] != want {
				t.Errorf("the folder has %q", got)
			}
		})
	}
}

// TestAbandon: a program that ends in the middle of a write leaves nothing, and what
// the write does afterwards has no effect.
func TestAbandon(t *testing.T) {
	defer func() { open.abandoned = false }()
	dir := t.TempDir()
	put(t, dir+"/a", mine+"old")
	err := Write(t.Context(), dir+"/a", Options{Ours: ours}, func(w io.Writer) error {
		if got := contents(t, dir); len(got) != 2 {
			t.Errorf("before: %q", got)
		}
		Abandon()
		if got := contents(t, dir); len(got) != 1 || got["a"] != mine+"old" {
			t.Errorf("after: %q", got)
		}
		return nil
	})
	if err == nil {
		t.Error("the write was done")
	}
	if err := Write(t.Context(), dir+"/b", Options{}, text("x")); !errors.Is(err, context.Canceled) {
		t.Errorf("a new write: error %v", err)
	}
	if got := contents(t, dir); len(got) != 1 || got["a"] != mine+"old" {
		t.Errorf("in the end: %q", got)
	}
}

// TestSweep: what a killed process left goes at the next write, and what one that
// lives is writing stays.
func TestSweep(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("whether a process lives is not told there")
	}
	c := exec.Command("true")
	if err := c.Run(); err != nil {
		t.Skip("no program at hand that ends at once")
	}
	dir := t.TempDir()
	dead := fmt.Sprintf(".dubgauge-%d-1.tmp", c.Process.Pid)
	alive := fmt.Sprintf(".dubgauge-%d-1.tmp", os.Getppid())
	for _, name := range []string{dead, alive, ".dubgauge-notes", ".dubgauge-x-1.tmp"} {
		put(t, dir+"/"+name, "half")
	}
	if err := Write(t.Context(), dir+"/a", Options{}, text("x")); err != nil {
		t.Fatal(err)
	}
	got := contents(t, dir)
	if _, there := got[dead]; there || len(got) != 4 {
		t.Errorf("the folder has %q", got)
	}
}
