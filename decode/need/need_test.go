package need

import (
	"go/build"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"
)

// watched is a test that notes how it was ended.
type watched struct {
	testing.TB
	skipped, failed string
}

func (w *watched) Helper() {}

func (w *watched) Skip(args ...any) {
	w.skipped = args[0].(string)
	runtime.Goexit()
}

func (w *watched) Fatal(args ...any) {
	w.failed = args[0].(string)
	runtime.Goexit()
}

// watch gives f a test that it may end.
func watch(t *testing.T, f func(testing.TB) string) (got string, w *watched) {
	w = &watched{TB: t}
	done := make(chan struct{})
	go func() {
		defer close(done)
		got = f(w)
	}()
	<-done
	return got, w
}

// onPath makes a folder with one program the whole PATH.
func onPath(t *testing.T, name string) (path string) {
	t.Helper()
	path = filepath.Join(t.TempDir(), name)
	if err := os.WriteFile(path, []byte("#!/bin/sh\n"), 0o755); err != nil {
		t.Fatal(err)
	}
	t.Setenv("PATH", filepath.Dir(path))
	t.Setenv("PATHEXT", ".bat")
	return path
}

func TestProgram(t *testing.T) {
	want := onPath(t, "second.bat")
	for _, c := range []struct {
		ci, names       string
		found           string
		skipped, failed bool
	}{
		{"", "second.bat", want, false, false},
		{"true", "first second.bat", want, false, false},
		{"", "first third", "", true, false},
		{"1", "first", "", true, false}, // only "true" is said to be CI
		{"true", "first third", "", false, true},
	} {
		t.Setenv("CI", c.ci)
		got, w := watch(t, func(tb testing.TB) string { return Program(tb, strings.Fields(c.names)...) })
		if got != c.found || (w.skipped != "") != c.skipped || (w.failed != "") != c.failed {
			t.Errorf("CI=%q, %s: %q, skipped %q, failed %q", c.ci, c.names, got, w.skipped, w.failed)
		}
		if said := w.skipped + w.failed; said != "" && !strings.Contains(said, strings.ReplaceAll(c.names, " ", " or ")) {
			t.Errorf("%q does not say what is missing", said)
		}
	}
}

func TestChecks(t *testing.T) {
	for _, ci := range []string{"", "true"} {
		t.Setenv("CI", ci)
		t.Setenv(ChecksVariable, "")
		if got, w := watch(t, Checks); got != "" || w.skipped == "" || w.failed != "" {
			t.Errorf("CI=%q, no folder: %q, skipped %q, failed %q", ci, got, w.skipped, w.failed)
		}
		t.Setenv(ChecksVariable, "material")
		if got, w := watch(t, Checks); got != "material" || w.skipped+w.failed != "" {
			t.Errorf("CI=%q: %q, skipped %q, failed %q", ci, got, w.skipped, w.failed)
		}
	}
}

// Package testing has no place in the program.
func TestOnlyTestsImportThis(t *testing.T) {
	seen := 0
	err := filepath.WalkDir("../..", func(path string, d fs.DirEntry, err error) error {
		if err != nil || !d.IsDir() {
			return err
		}
		p, err := build.ImportDir(path, 0)
		if err != nil {
			return nil // no Go files here
		}
		seen++
		if slices.Contains(p.Imports, "dubgauge/decode/need") && p.Name != "browser" { // export/browser is for tests itself
			t.Errorf("%s imports it outside its tests", path)
		}
		return nil
	})
	if err != nil || seen < 2 {
		t.Fatal(seen, "packages seen:", err)
	}
}
