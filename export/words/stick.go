package words

import (
	"path"
	"path/filepath"
	"strings"

	"dubgauge/library"
)

// Sticks are short names of the places that tracks lie in, by root. Where all lie in
// one there is nothing to tell apart, and it is nil.
type Sticks map[string]string

// SticksOf names the places of tracks: by their last folder, or by the whole path where
// two end alike.
func SticksOf(tracks []library.Track) Sticks {
	roots := map[string]bool{}
	for i := range tracks {
		roots[tracks[i].Root] = true
	}
	return SticksIn(roots)
}

// SticksIn is SticksOf of tracks with these roots.
func SticksIn(roots map[string]bool) Sticks {
	if len(roots) < 2 {
		return nil
	}
	s, times := Sticks{}, map[string]int{}
	for root := range roots {
		s[root] = path.Base(filepath.ToSlash(root))
		times[strings.ToLower(s[root])]++
	}
	for root, name := range s {
		if times[strings.ToLower(name)] > 1 {
			s[root] = root
		}
	}
	return s
}

// Place is the path of a track, with the stick in front where there is more than one.
func (s Sticks) Place(t *library.Track) string {
	if name := s[t.Root]; name != "" {
		return name + ": " + t.Path
	}
	return t.Path
}
