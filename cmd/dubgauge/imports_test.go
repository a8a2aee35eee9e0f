package main

import (
	"go/build"
	"io/fs"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// mayImport is the table of the design: which room may use which. A room may
// always use itself.
var mayImport = map[string][]string{
	"decode":  {},
	"detect":  {"decode"},
	"library": {"decode", "detect"},
	"export":  {"detect", "library"},
	"cmd":     {"decode", "detect", "library", "export"},
}

// forbidden are packages that analysis does without: numbers in, a result out.
var forbidden = map[string]bool{"flag": true, "log": true, "log/slog": true, "os": true, "net/http": true}

// mayImportInExport is which room inside export may use which other one.
var mayImportInExport = map[string][]string{
	"export/words": {},
	"export/sheet": {"export/words"},
	"export/page":  {"export/words"},
	"export/live":  {"export/words", "export/sheet", "export/page"},
	// For tests alone: no arrow leads to them.
	"export/browser": {},
	"export/madeup":  {},
}

// TestImportDirection checks that an arrow never points up the table.
func TestImportDirection(t *testing.T) {
	top, err := filepath.Abs("../..")
	if err != nil {
		t.Fatal(err)
	}
	seen := map[string]int{}
	err = filepath.WalkDir(top, func(path string, d fs.DirEntry, err error) error {
		if err != nil || !d.IsDir() {
			return err
		}
		if name := d.Name(); path != top && (strings.HasPrefix(name, ".") || name == "testdata") {
			return fs.SkipDir
		}
		p, err := build.ImportDir(path, 0)
		if err != nil {
			return nil // no Go files here
		}
		rel, _ := filepath.Rel(top, path)
		rel = filepath.ToSlash(rel)
		room, _, _ := strings.Cut(rel, "/")
		seen[room]++
		if seen[rel]++; room == "detect" {
			checkForbidden(t, rel, p.Imports)
		}
		checkArrows(t, rel, room, p.Imports)
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	for _, table := range []map[string][]string{mayImport, mayImportInExport} {
		for room := range table {
			if seen[room] == 0 {
				t.Errorf("no package found in %s: the check sees nothing", room)
			}
		}
	}
}

// checkForbidden holds an analysis package against what it does without.
func checkForbidden(t *testing.T, rel string, imports []string) {
	t.Helper()
	for _, imp := range imports {
		if forbidden[imp] {
			t.Errorf("%s imports %s: analysis packages may not", rel, imp)
		}
	}
}

// checkArrows holds the imports of one package against the tables.
func checkArrows(t *testing.T, rel, room string, imports []string) {
	t.Helper()
	allowed, known := mayImport[room]
	within, inside := mayImportInExport[rel]
	if !known || room == "export" && !inside {
		t.Errorf("%s: no such room in the house", rel)
	}
	for _, imp := range imports {
		other, ours := strings.CutPrefix(imp, "dubgauge/")
		if !ours {
			continue
		}
		to, _, _ := strings.Cut(other, "/")
		switch {
		case to != room && !slices.Contains(allowed, to), to == room && inside && !slices.Contains(within, other):
			t.Errorf("%s imports %s: the arrow points up", rel, imp)
		case other == "export/browser" || other == "export/madeup":
			t.Errorf("%s imports %s, which is for tests", rel, imp)
		}
	}
}
