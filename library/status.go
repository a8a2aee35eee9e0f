package library

import (
	"fmt"
	"strings"
	"unicode"

	"dubgauge/library/tags"
)

// decide says whether a track came out, and why. A mark overrules the globs,
// these overrule all else; with evidence for both or for neither, the track is
// unknown. Everything found is returned, what decided first.
func decide(t *Track, glob []Evidence) (Status, []Evidence) {
	var found []Evidence
	if t.Marks.Status != "" {
		found = append(found, Evidence{t.Marks.Status, "marked by you", "mark"})
	}
	found = append(found, glob...)
	own := found
	found = append(found, releasedBy(&t.Tags)...)
	found = append(found, unreleasedBy(t.Path, &t.Tags)...)
	if found == nil {
		found = []Evidence{}
	}
	switch {
	case t.Marks.Status != "":
		return t.Marks.Status, found
	case len(own) > 0:
		return verdictOf(own), found
	}
	return verdictOf(found), found
}

// verdictOf is the status that all evidence agrees on.
func verdictOf(found []Evidence) Status {
	if len(found) == 0 {
		return Unknown
	}
	for _, e := range found[1:] {
		if e.For != found[0].For {
			return Unknown
		}
	}
	return found[0].For
}

// releasedBy finds what only a release has: an ISRC, a label, a catalogue
// number, an album together with a year.
func releasedBy(g *tags.Tags) (found []Evidence) {
	add := func(where, what string) { found = append(found, Evidence{Released, what, where}) }
	if isISRC(g.ISRC) {
		add("tag isrc", "ISRC "+g.ISRC)
	}
	if says(g.Label) {
		add("tag label", "label "+g.Label)
	}
	if says(g.CatalogueNumber) {
		add("tag catalogue number", "catalogue number "+g.CatalogueNumber)
	}
	if says(g.Album) && g.Year >= 1900 && g.Year <= 2100 {
		add("tag album", fmt.Sprintf("album %s, %d", g.Album, g.Year))
	}
	return found
}

var isrcMarks = strings.NewReplacer("-", "", " ", "")

// isISRC checks the form of an ISRC (ISO 3901): two letters of the prefix,
// three letters or digits, seven digits; hyphens may part them. Of several,
// the first counts.
func isISRC(s string) bool {
	s, _, _ = strings.Cut(s, ";")
	s = strings.ToUpper(isrcMarks.Replace(s))
	if len(s) != 12 {
		return false
	}
	for i, c := range []byte(s) {
		letter, digit := c >= 'A' && c <= 'Z', c >= '0' && c <= '9'
		if i < 2 && !letter || i >= 5 && !digit || !letter && !digit {
			return false
		}
	}
	return true
}

// placeholders are what software and people write into a field that has no
// answer. Compared in lower case, letters and digits only.
var placeholders = set("", "0", "na", "n a", "none", "null", "unknown", "unknown album", "unknown label", "untitled", "various",
	"no label", "not on label", "self released", "self release", "unsigned", "tba", "tbc", "tbd", "test", "single", "album")

// says tells whether a tag is an answer: no placeholder, and no word that says
// the opposite.
func says(s string) bool {
	if s == "" {
		return false
	}
	words := wordsOf(s)
	return !placeholders[strings.Join(words, " ")] && !hasPlain(words)
}

// unreleasedBy looks for words in file name, folder and title, and in label and
// album for those that have no other meaning there.
func unreleasedBy(path string, g *tags.Tags) (found []Evidence) {
	add := func(where, word string) {
		found = append(found, Evidence{Unreleased, `the word "` + word + `"`, where})
	}
	dir, file := "", path
	if i := strings.LastIndexByte(path, '/'); i >= 0 {
		dir, file = path[:i], path[i+1:]
	}
	if i := strings.LastIndexByte(file, '.'); i > 0 {
		file = file[:i]
	}
	// A name that only quotes the artist or the label says nothing.
	names := [][]string{wordsOf(g.Artist), wordsOf(g.Label)}
	for _, w := range unreleasedWords(dropNames(wordsOf(file), names)) {
		add("file name", w)
	}
	for dir != "" {
		var name string
		name, dir, _ = strings.Cut(dir, "/")
		for _, w := range unreleasedWords(dropNames(wordsOf(name), names)) {
			add("folder", w)
		}
	}
	for _, w := range unreleasedWords(wordsOf(g.Title)) {
		add("title", w)
	}
	if w := plainWord(wordsOf(g.Label)); w != "" {
		add("tag label", w)
	}
	if w := plainWord(wordsOf(g.Album)); w != "" {
		add("tag album", w)
	}
	return found
}

// wordsOf splits s into words of letters and digits, in lower case: a word
// boundary lies wherever neither stands, also at an underscore; and before a
// version at the end of a joined name (NightBusV7).
func wordsOf(s string) []string {
	if s == "" {
		return nil
	}
	words := make([]string, 0, 12)
	start := -1
	prev := rune(0)
	flush := func(end int) {
		if start >= 0 {
			words = append(words, strings.ToLower(s[start:end]))
			start = -1
		}
	}
	for i, r := range s {
		switch {
		case !unicode.IsLetter(r) && !unicode.IsDigit(r) && !unicode.IsMark(r):
			flush(i)
		case start < 0:
			start = i
		case r == 'V' && unicode.IsLower(prev) && version(strings.ToLower(s[i:])):
			flush(i)
			start = i
		}
		prev = r
	}
	flush(len(s))
	return words
}

// dropNames takes out the words of each name where they stand in a row.
func dropNames(words []string, names [][]string) []string {
	for _, name := range names {
		if len(name) == 0 {
			continue
		}
		for i := 0; i+len(name) <= len(words); i++ {
			if equalWords(words[i:i+len(name)], name) {
				// A name that is dropped still parts its neighbours.
				words = append(append(append([]string{}, words[:i]...), ""), words[i+len(name):]...)
			}
		}
	}
	return words
}

func equalWords(a, b []string) bool {
	for i := range a {
		if a[i] != b[i] {
			return false
		}
	}
	return true
}

func set(words ...string) map[string]bool {
	m := make(map[string]bool, len(words))
	for _, w := range words {
		m[w] = true
	}
	return m
}
