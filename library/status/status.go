// Package status decides whether a track came out, by what tags, names, patterns
// and the user say of it. It reads no file and no database.
package status

import (
	"fmt"
	"strings"

	"dubgauge/library/tags"
)

// Track is what is known of a track whose status is wanted.
type Track struct {
	Path string // relative to its library, with forward slashes
	Tags *tags.Tags
	Mark Status // by the user; empty: not marked
}

// Decide says whether a track came out, and why. A mark overrules the patterns,
// which give glob (see Patterns.Of), and these overrule all else; with evidence
// for both or for neither, the track is unknown. Everything found is returned,
// what decided first.
func Decide(t Track, glob []Evidence) (Status, []Evidence) {
	var found []Evidence
	if t.Mark != "" {
		found = append(found, Evidence{t.Mark, "marked by you", "mark"})
	}
	found = append(found, glob...)
	own := found
	found = append(found, releasedBy(t.Tags)...)
	found = append(found, unreleasedBy(t.Path, t.Tags)...)
	if found == nil {
		found = []Evidence{}
	}
	switch {
	case t.Mark != "":
		return t.Mark, found
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
