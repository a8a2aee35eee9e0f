package main

import (
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// folderRow is a row of a table of folders: | `folder/` | what lives there |
var folderRow = regexp.MustCompile("(?m)^\\| `([^`]+)/` \\|(.*)\\|$")

// folderTable gives the rows of a document's table of folders, by folder.
func folderTable(t *testing.T, document string) map[string]string {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("../..", document))
	if err != nil {
		t.Fatal(err)
	}
	rows := map[string]string{}
	for _, m := range folderRow.FindAllStringSubmatch(string(text), -1) {
		if _, twice := rows[m[1]]; twice {
			t.Errorf("%s names %s twice", document, m[1])
		}
		rows[m[1]] = m[2]
		if fi, err := os.Stat(filepath.Join("../..", m[1])); err != nil || !fi.IsDir() {
			t.Errorf("%s names %s, and there is no such folder", document, m[1])
		}
	}
	return rows
}

// TestDevelopersNamesEveryFolder holds the tree in DEVELOPERS.md against the
// folders on the disk.
func TestDevelopersNamesEveryFolder(t *testing.T) {
	rows := folderTable(t, "DEVELOPERS.md")
	on := map[string]bool{}
	for _, p := range packages(t) {
		on[p.path] = true
		if strings.TrimSpace(rows[p.path]) == "" {
			t.Errorf("DEVELOPERS.md does not say what lives in %s/", p.path)
		}
	}
	for folder := range rows {
		if !on[folder] {
			t.Errorf("DEVELOPERS.md names %s/, which holds no Go files", folder)
		}
	}
}

// TestReadmeNamesEveryFloor holds the table in README.md against the folders on
// the disk and against what each may import.
func TestReadmeNamesEveryFloor(t *testing.T) {
	rows := folderTable(t, "README.md")
	entries, err := os.ReadDir("../..")
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		if !e.IsDir() || strings.HasPrefix(e.Name(), ".") {
			continue
		}
		named := func(folder string) bool { return floorOf(folder) == e.Name() }
		if !slices.ContainsFunc(keys(rows), named) {
			t.Errorf("README.md does not name %s/", e.Name())
		}
	}
	for folder, row := range rows {
		cells := strings.Split(row, "|")
		column, floor := cells[len(cells)-1], floorOf(folder)
		if floor == "cmd" || len(mayImport[floor]) == 0 {
			continue // "all" and "nothing of ours"
		}
		for other := range mayImport {
			said := strings.Contains(column, "`"+other+"`")
			if may := slices.Contains(mayImport[floor], other); may != said {
				t.Errorf("README.md says that %s may import%s, and %s is %v", floor, column, other, may)
			}
		}
	}
}

func keys(m map[string]string) (names []string) {
	for name := range m {
		names = append(names, name)
	}
	return names
}
