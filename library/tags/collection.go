package tags

import (
	"strconv"
	"strings"
)

// Source is what one tag of a file says of the release. It belongs together: a label
// from one tag and a year from another are no evidence, as each may be about something
// else.
type Source struct {
	Form            string `json:"form"` // "ID3v2", "Vorbis comment", "LIST/INFO", ...
	Title           string `json:"title,omitempty"`
	Artist          string `json:"artist,omitempty"`
	Album           string `json:"album,omitempty"`
	Label           string `json:"label,omitempty"`
	CatalogueNumber string `json:"catalogue_number,omitempty"`
	ISRC            string `json:"isrc,omitempty"`
	Year            int    `json:"year,omitempty"`
}

// AsSource is what t says as a whole, of no form.
func (t *Tags) AsSource() Source {
	return Source{"", t.Title, t.Artist, t.Album, t.Label, t.CatalogueNumber, t.ISRC, t.Year}
}

// MaxSources bounds the tags that are kept one by one: files have up to four.
const MaxSources = 16

// sources gives the tags one by one. A form that stands in two places of a file, such
// as ID3v2 in front and in a chunk, is two.
func (c collection) sources() (out []Source) {
	for i := range c[:min(len(c), MaxSources)] {
		t := c[i].fields.tags()
		s := t.AsSource()
		s.Form = c[i].name
		out = append(out, s)
	}
	return out
}

// collection is what was found, tag by tag.
type collection []struct {
	name   string
	fields fields
}

// put adds a tag that says something.
func (c *collection) put(name string, f *fields) {
	for _, values := range f {
		if len(values) > 0 {
			*c = append(*c, struct {
				name   string
				fields fields
			}{name, *f})
			return
		}
	}
}

// merge takes each field from the first tag that has it.
func (c collection) merge() Tags {
	var all fields
	for i := range c {
		all.fill(&c[i].fields)
	}
	return all.tags()
}

// Conflict is a field on which two tags of a file differ.
type Conflict struct {
	Field         string // as the JSON names it
	First, Second string // names of the tags
	Says, Against string // their values
}

// Conflicts compares each tag with those before it, in the fields that tell one
// recording from another. A value that was cut to the 30 characters of ID3v1, or that
// is written in other letters, is none.
func Conflicts(all []Source) (out []Conflict) {
	for i := range all {
		for j := range i {
			for _, f := range compared {
				a, b := f.value(&all[j]), f.value(&all[i])
				if differ(a, b) {
					out = append(out, Conflict{f.name, all[j].Form, all[i].Form, a, b})
				}
			}
		}
	}
	return out
}

var compared = []struct {
	name  string
	value func(t *Source) string
}{
	{"title", func(t *Source) string { return t.Title }},
	{"artist", func(t *Source) string { return t.Artist }},
	{"label", func(t *Source) string { return t.Label }},
	{"catalogue_number", func(t *Source) string { return t.CatalogueNumber }},
	{"isrc", func(t *Source) string { return t.ISRC }},
	{"year", func(t *Source) string {
		if t.Year == 0 {
			return ""
		}
		return strconv.Itoa(t.Year)
	}},
}

// differ tells whether two values that are both there say different things.
func differ(a, b string) bool {
	const v1Text = 30 // characters of a field of ID3v1
	if a == "" || b == "" || strings.EqualFold(a, b) {
		return false
	}
	long, short := []rune(a), []rune(b)
	if len(long) < len(short) {
		long, short = short, long
	}
	cut := len(short) >= v1Text-2 && len(short) <= v1Text // spaces at the cut are trimmed
	return !cut || !strings.EqualFold(string(long[:len(short)]), string(short))
}
