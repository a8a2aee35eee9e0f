package main

import (
	"go/build"
	"io/fs"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// mayImport is the table of the design: which floor may use which. A floor may
// always use itself.
var mayImport = map[string][]string{
	"decode":  {},
	"detect":  {"decode"},
	"library": {"decode", "detect"},
	"export":  {"detect", "library"},
	"cmd":     {"decode", "detect", "library", "export"},
}

// roomsMayImport says of the floors with rooms which room may use which of the
// same floor. A name without a slash is the floor's own package.
var roomsMayImport = map[string][]string{
	"library/tags":   {},
	"library/status": {"library/tags"},
	"library/track":  {"library/status", "library/tags"},
	"library/judge":  {"library/status", "library/track"},
	"library/store":  {"library/judge", "library/status", "library/tags", "library/track"},
	"library/scan":   {"library/status", "library/store", "library/tags", "library/track"},
	"library":        {"library/judge", "library/scan", "library/status", "library/store", "library/track"},
	"library/madeup": {"library/track"}, // for tests of the floor
	"export/words":   {},
	"export/output":  {},
	"export/whole":   {},
	"export/encode":  {},
	"export/render":  {"export/output", "export/words"},
	"export/sheet":   {"export/whole", "export/words"},
	"export/page":    {"export/whole", "export/words"},
	"export/live":    {"export/encode", "export/page", "export/sheet", "export/whole", "export/words"},
	// For tests: no arrow of the program leads to them.
	"export/browser": {},
	"export/madeup":  {},
}

// forTests are rooms that tests of their floor use, and nothing else.
var forTests = map[string]bool{"library/madeup": true, "export/browser": true, "export/madeup": true}

// faces are the floors that others use by their own package only.
var faces = []string{"library"}

// forbidden are packages that analysis does without: numbers in, a result out.
var forbidden = map[string]bool{"flag": true, "log": true, "log/slog": true, "os": true, "net/http": true}

// goPackage is a folder with Go files: its path from the top and what it imports.
type goPackage struct {
	path           string
	imports, tests []string
}

// packages are all of the project.
func packages(t *testing.T) []goPackage {
	t.Helper()
	top, err := filepath.Abs("../..")
	if err != nil {
		t.Fatal(err)
	}
	var all []goPackage
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
		rel, err := filepath.Rel(top, path)
		all = append(all, goPackage{filepath.ToSlash(rel), p.Imports, append(p.TestImports, p.XTestImports...)})
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return all
}

func floorOf(path string) string {
	floor, _, _ := strings.Cut(path, "/")
	return floor
}

// TestImportDirection checks that an arrow never points up the table.
func TestImportDirection(t *testing.T) {
	seen := map[string]int{}
	for _, p := range packages(t) {
		floor := floorOf(p.path)
		allowed, known := mayImport[floor]
		if !known {
			t.Errorf("%s: no such floor in the house: %q", p.path, floor)
		}
		seen[floor]++
		for _, imp := range p.imports {
			if floor == "detect" && forbidden[imp] {
				t.Errorf("%s imports %s: analysis packages may not", p.path, imp)
			}
			other, ours := strings.CutPrefix(imp, "dubgauge/")
			if !ours || floorOf(other) == floor || (forTests[p.path] && other == "decode/need") {
				continue
			}
			if !slices.Contains(allowed, floorOf(other)) {
				t.Errorf("%s imports %s: the arrow points up", p.path, imp)
			}
			if slices.Contains(faces, floorOf(other)) && other != floorOf(other) {
				t.Errorf("%s imports %s: from outside, %s is used by its own package only", p.path, imp, floorOf(other))
			}
		}
	}
	for floor := range mayImport {
		if seen[floor] == 0 {
			t.Errorf("no package found in %s: the check sees nothing", floor)
		}
	}
}

// TestRooms checks the arrows among the rooms of a floor, those of tests too, and
// that all SQL is in one room.
func TestRooms(t *testing.T) {
	seen := 0
	for _, p := range packages(t) {
		floor := floorOf(p.path)
		if floor != "library" && floor != "export" {
			continue
		}
		allowed, known := roomsMayImport[p.path]
		if !known {
			t.Errorf("%s: no such room in the table", p.path)
		}
		for _, imp := range p.imports {
			other, ours := strings.CutPrefix(imp, "dubgauge/")
			if ours && floorOf(other) == floor {
				seen++
				if !slices.Contains(allowed, other) {
					t.Errorf("%s imports %s: not in the table of the rooms", p.path, imp)
				}
			}
			if strings.HasPrefix(imp, "database/sql") && p.path != "library/store" {
				t.Errorf("%s imports %s: only library/store speaks SQL", p.path, imp)
			}
		}
		for _, imp := range p.tests {
			other, ours := strings.CutPrefix(imp, "dubgauge/")
			if ours && floorOf(other) == floor && other != p.path && !forTests[other] && !slices.Contains(allowed, other) {
				t.Errorf("the tests of %s import %s: not in the table of the rooms", p.path, imp)
			}
		}
	}
	if seen < 10 {
		t.Errorf("%d arrows found among rooms: the check sees too little", seen)
	}
}

// TestNoCircleInTheTable: a room's table leads only to rooms that do not lead back.
func TestNoCircleInTheTable(t *testing.T) {
	var reach func(from, to string, depth int) bool
	reach = func(from, to string, depth int) bool {
		if depth > len(roomsMayImport) {
			return true
		}
		for _, next := range roomsMayImport[from] {
			if next == to || reach(next, to, depth+1) {
				return true
			}
		}
		return false
	}
	for room := range roomsMayImport {
		if reach(room, room, 0) {
			t.Errorf("%s leads back to itself", room)
		}
	}
}
