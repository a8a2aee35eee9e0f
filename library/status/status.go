// Package status decides whether a track came out, by what tags, names, patterns
// and the user say of it. It reads no file and no database.
package status

import (
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
	found = append(found, byTags(t.Tags)...)
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

// verdictOf is the status that all evidence agrees on. Tags that differ without being
// about another recording speak for none.
func verdictOf(found []Evidence) Status {
	all := Status("")
	for _, e := range found {
		switch {
		case e.For == Unknown && e.Where != whereDiffer, all != "" && e.For != Unknown && e.For != all:
			return Unknown
		case e.For != Unknown:
			all = e.For
		}
	}
	if all == "" {
		return Unknown
	}
	return all
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
