package playlist

import (
	"path"
	"path/filepath"
	"slices"
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"

	"dubgauge/library/track"
)

// index finds tracks by what lists say of them, without going through them all.
type index struct {
	tracks []*track.Track
	roots  []string // with forward slashes
	whole  map[string][]*track.Track
	inRoot map[string][]*track.Track // by the path within the root
	last   map[string][]*track.Track // by the last leastFolders parts of the path
	stem   map[string][]*track.Track // by the name without its ending
	title  map[string][]*track.Track
	size   map[int64][]*track.Track
}

// newIndex goes through the tracks once. Paths are folded as FAT and exFAT do, titles more.
func newIndex(tracks []*track.Track) *index {
	x := &index{tracks: tracks, whole: map[string][]*track.Track{}, inRoot: map[string][]*track.Track{},
		last: map[string][]*track.Track{}, stem: map[string][]*track.Track{},
		title: map[string][]*track.Track{}, size: map[int64][]*track.Track{}}
	seen := map[string]bool{}
	for _, t := range tracks {
		if !seen[t.Root] {
			seen[t.Root] = true
			x.roots = append(x.roots, filepath.ToSlash(t.Root))
		}
		for _, p := range pathsOf(t) {
			x.addPath(t, p)
		}
		if k := titleKey(t.Tags.Artist, t.Tags.Title); k != "" {
			x.title[k] = append(x.title[k], t)
		}
		if n := t.Measurement.File.SizeBytes; n > 0 && len(t.Content) > 0 {
			x.size[n] = append(x.size[n], t)
		}
	}
	return x
}

// pathsOf are the forms of a track's path in its root that differ when folded: as it is
// shown, and where its bytes on the disk are no UTF-8, as ISO 8859-1.
func pathsOf(t *track.Track) []string {
	all := []string{t.Path}
	if len(t.Disk) > 0 {
		raw, _ := text(t.Disk)
		for _, p := range []string{string(t.Disk), raw} {
			if track.FoldPath(p) != track.FoldPath(t.Path) && !slices.Contains(all, p) {
				all = append(all, p)
			}
		}
	}
	return all
}

func (x *index) addPath(t *track.Track, p string) {
	add := func(m map[string][]*track.Track, key string) { m[key] = append(m[key], t) }
	p = track.FoldPath(p)
	add(x.inRoot, p)
	add(x.whole, track.FoldPath(strings.TrimSuffix(filepath.ToSlash(t.Root), "/"))+"/"+p)
	if k := lastParts(path.Join(track.FoldPath(filepath.ToSlash(t.Root)), p), leastFolders); k != "" {
		add(x.last, k)
	}
	add(x.stem, stem(p))
}

// lastParts are the last n parts of a path; "" where it has fewer.
func lastParts(p string, n int) string {
	at := len(p)
	for range n {
		if at <= 0 {
			return ""
		}
		at = strings.LastIndexByte(p[:at], '/')
	}
	return p[at+1:]
}

// stem is the name of a file without its ending.
func stem(p string) string {
	name := path.Base(p)
	if s := strings.TrimSuffix(name, path.Ext(name)); s != "" {
		return s
	}
	return name
}

// slashed is a path with all its backslashes as slashes.
func slashed(p string) string { return strings.ReplaceAll(p, `\`, "/") }

// titleKey is title and artist as they are compared: letters, digits and signs that tell
// versions apart, in lower case and without accents. "" where one of both is missing.
func titleKey(artist, title string) string {
	a, t := bare(artist), bare(title)
	if a == "" || t == "" {
		return ""
	}
	return a + "\n" + t
}

// bare is text in lower case without accents, its letters and digits alone, with single
// spaces between words.
func bare(s string) string {
	var b strings.Builder
	space := false
	for _, r := range norm.NFKD.String(s) {
		switch {
		case unicode.Is(unicode.Mn, r), r == '\'', r == '\u2019':
		case unicode.IsLetter(r), unicode.IsDigit(r):
			if space && b.Len() > 0 {
				b.WriteByte(' ')
			}
			space = false
			b.WriteRune(unicode.ToLower(r))
		default:
			space = true
		}
	}
	return b.String()
}
