package main

import (
	"go/build"
	"io/fs"
	"path/filepath"
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

// TestImportDirection checks that an arrow never points up the table.
func TestImportDirection(t *testing.T) {
	const module = "dubgauge/"
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
		room, _, _ := strings.Cut(filepath.ToSlash(rel), "/")
		allowed, known := mayImport[room]
		if !known {
			t.Errorf("%s: no such room in the house: %q", rel, room)
		}
		seen[room]++
		for _, imp := range p.Imports {
			if room == "detect" && forbidden[imp] {
				t.Errorf("%s imports %s: analysis packages may not", rel, imp)
			}
			other, ours := strings.CutPrefix(imp, module)
			if !ours {
				continue
			}
			other, _, _ = strings.Cut(other, "/")
			if other != room && !strings.Contains(" "+strings.Join(allowed, " ")+" ", " "+other+" ") {
				t.Errorf("%s imports %s: the arrow points up", rel, imp)
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	for room := range mayImport {
		if seen[room] == 0 {
			t.Errorf("no package found in %s: the check sees nothing", room)
		}
	}
}
