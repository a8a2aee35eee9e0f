package status

import (
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"github.com/bmatcuk/doublestar/v4"
	"golang.org/x/text/unicode/norm"
)

// ErrPattern: a pattern for released or unreleased tracks is malformed.
var ErrPattern = errors.New("malformed pattern")

// FolderPatterns are the patterns that were given for one folder.
type FolderPatterns struct {
	Dir                  string // absolute
	Released, Unreleased []string
}

// Patterns are those of all folders, the deepest folder first: see Sort.
type Patterns []FolderPatterns

// Sort puts the deepest folder first.
func (g Patterns) Sort() {
	slices.SortFunc(g, func(a, b FolderPatterns) int { return len(b.Dir) - len(a.Dir) })
}

// Of returns what the patterns say of the track at path, relative to the folder
// root. The deepest folder whose patterns match decides; when both kinds match
// there, both are returned.
func (g Patterns) Of(root, path string) []Evidence {
	for _, s := range g {
		rel, ok := within(s.Dir, root, path)
		if !ok {
			continue
		}
		var found []Evidence
		for _, p := range s.Released {
			if match, _ := doublestar.Match(p, rel); match {
				found = append(found, Evidence{Released, before + p, byPattern})
			}
		}
		for _, p := range s.Unreleased {
			if match, _ := doublestar.Match(p, rel); match {
				found = append(found, Evidence{Unreleased, before + p, byPattern})
			}
		}
		if found != nil {
			return found
		}
	}
	return nil
}

// within gives the path of root/path relative to dir.
func within(dir, root, path string) (string, bool) {
	if dir == root {
		return path, true
	}
	full := slashed(root) + "/" + path
	return strings.CutPrefix(full, slashed(dir)+"/")
}

// CleanPatterns checks patterns and brings them to the form of paths in the
// database. Empty ones are dropped, so that an empty one given alone clears.
func CleanPatterns(patterns []string) ([]string, error) {
	clean := []string{}
	for _, p := range patterns {
		p = norm.NFC.String(strings.TrimPrefix(p, "./"))
		if p == "" {
			continue
		}
		if !doublestar.ValidatePattern(p) {
			return nil, fmt.Errorf("%q: %w: * stands for any name, ** for any folders, {a,b} for either", p, ErrPattern)
		}
		if strings.HasSuffix(p, "/") {
			p += "**" // a folder means all that is in it
		}
		clean = append(clean, p)
	}
	return clean, nil
}

// slashed is a path with forward slashes and none at its end.
func slashed(p string) string { return strings.TrimSuffix(filepath.ToSlash(p), "/") }
