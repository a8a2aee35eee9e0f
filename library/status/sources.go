package status

import (
	"fmt"
	"slices"
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"

	"dubgauge/library/tags"
)

// Where two tags of a file say different things.
const (
	whereDiffer   = "tags differ"            // shown, and decides nothing
	whereConflict = "tags of two recordings" // the status is unknown
)

// byTags is what the tags of a file say, each judged alone: what only a release has
// must stand together in one of them. Where two differ, it says in what.
func byTags(g *tags.Tags) (found []Evidence) {
	all := g.Sources
	if len(all) == 0 { // one tag, or a record that does not keep them apart
		all = []tags.Source{g.AsSource()}
	}
	for i := range all {
		for _, e := range releasedBy(i, all) {
			if !slices.Contains(found, e) {
				found = append(found, e)
			}
		}
	}
	for i := range all[1:] { // of the first, names and title are looked at with the path
		for _, e := range unreleasedTag(&all[i+1]) {
			if !slices.Contains(found, e) {
				found = append(found, e)
			}
		}
	}
	return append(found, conflicts(all)...)
}

// releasedBy finds in the tag all[i] what only a release has: an ISRC, a label, a
// catalogue number, an album together with a year.
func releasedBy(i int, all []tags.Source) (found []Evidence) {
	s := &all[i]
	add := func(where, what string) { found = append(found, Evidence{Released, what, where}) }
	if isISRC(s.ISRC) {
		add("tag isrc", "ISRC "+s.ISRC)
	}
	if says(s.Label) && !scattered(i, all) {
		add("tag label", "label "+s.Label)
	}
	if says(s.CatalogueNumber) {
		add("tag catalogue number", "catalogue number "+s.CatalogueNumber)
	}
	if says(s.Album) && hasYear(s) {
		add("tag album", fmt.Sprintf("album %s, %d", s.Album, s.Year))
	}
	return found
}

func hasYear(s *tags.Source) bool { return s.Year >= 1900 && s.Year <= 2100 }

// scattered tells that the tag all[i] has neither the year nor the album that another
// tag gives: its label may then be about something else than these.
func scattered(i int, all []tags.Source) bool {
	if says(all[i].Album) || hasYear(&all[i]) {
		return false
	}
	for j := range all {
		if j != i && (says(all[j].Album) || hasYear(&all[j])) {
			return true
		}
	}
	return false
}

// unreleasedTag looks for words in the title, the label and the album of a tag.
func unreleasedTag(s *tags.Source) []Evidence {
	return unreleasedBy("", &tags.Tags{Title: s.Title, Label: s.Label, Album: s.Album})
}

// shown are the fields whose conflicts are told; a year differs wherever a record came
// out again.
var shown = map[string]string{"title": "title", "artist": "artist", "label": "label", "catalogue_number": "catalogue number", "isrc": "ISRC"}

// conflicts tells where tags differ, each field once. Where the title of one that
// speaks for released is another title than that of one that does not, they are about
// two recordings, and which of them the file holds is not known.
func conflicts(all []tags.Source) (found []Evidence) {
	told := map[string]bool{}
	for _, c := range tags.Conflicts(all) {
		name := shown[c.Field]
		if name == "" || told[name] {
			continue
		}
		told[name] = true
		found = append(found, Evidence{Unknown, fmt.Sprintf("%s %q in %s, %q in %s", name, c.Says, c.First, c.Against, c.Second), whereDiffer})
	}
	for i := range all {
		for j := range all[:i] {
			if (len(releasedBy(i, all)) > 0) != (len(releasedBy(j, all)) > 0) && otherTitle(&all[i], &all[j]) {
				what := fmt.Sprintf("%s is about %q, %s about %q, and only one of them speaks for released", all[j].Form, all[j].Title, all[i].Form, all[i].Title)
				return append(found, Evidence{Unknown, what, whereConflict})
			}
		}
	}
	return found
}

// otherTitle tells whether two titles name two recordings. One that has the other in it
// (with a version behind it, or cut off) does not, nor one in letters that the forms of
// old, which state no character set, do not keep.
func otherTitle(a, b *tags.Source) bool {
	// "" is in every title.
	x, y := plainLetters(a.Title), plainLetters(b.Title)
	return !strings.Contains(x, y) && !strings.Contains(y, x)
}

// plainLetters keeps letters and digits in lower case, without accents; "" where others
// than the Latin ones stand.
func plainLetters(s string) string {
	var b strings.Builder
	for _, r := range norm.NFKD.String(strings.ToLower(s)) {
		switch {
		case r >= 'a' && r <= 'z', r >= '0' && r <= '9':
			b.WriteRune(r)
		case r > unicode.MaxASCII && !unicode.IsMark(r) && !unicode.IsPunct(r), r == '?':
			return ""
		}
	}
	return b.String()
}
