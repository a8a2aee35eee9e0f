package tags

import (
	"io"
	"strconv"
	"strings"
)

// Source is one tag of a file. What it says belongs together: a label from one tag and
// a year from another are no evidence of a release, as each may be about something
// else.
type Source struct {
	Name string // of the form: "ID3v2", "Vorbis comment", "LIST/INFO", ...
	Tags Tags   // what this tag alone says
}

// Sources reads the tags of src one by one, the best first: what Read gives is the
// first value of each field. A form that stands in two places of a file, such as ID3v2
// in front and in a chunk, is two. For the error see Read.
func Sources(src *io.SectionReader, format string) ([]Source, error) {
	s := source{src, src.Size()}
	var all collection
	err := s.read(&all, format)
	out := make([]Source, len(all))
	for i := range all {
		out[i] = Source{all[i].name, all[i].fields.tags()}
	}
	return out, err
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
				a, b := f.value(&all[j].Tags), f.value(&all[i].Tags)
				if differ(a, b) {
					out = append(out, Conflict{f.name, all[j].Name, all[i].Name, a, b})
				}
			}
		}
	}
	return out
}

var compared = []struct {
	name  string
	value func(t *Tags) string
}{
	{"title", func(t *Tags) string { return t.Title }},
	{"artist", func(t *Tags) string { return t.Artist }},
	{"label", func(t *Tags) string { return t.Label }},
	{"catalogue_number", func(t *Tags) string { return t.CatalogueNumber }},
	{"isrc", func(t *Tags) string { return t.ISRC }},
	{"year", func(t *Tags) string {
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
