package tags

import (
	"regexp"
	"slices"
	"strconv"
	"strings"
)

// field is a slot of Tags.
type field int

const (
	title field = iota
	artist
	album
	label
	catalogue
	isrc
	year
	genre
	comment
	bpm
	key
	albumArtist  // serves where there is no artist
	originalYear // serves where there is no year
	numFields
)

// fields holds the values found, raw, in order of preference.
type fields [numFields][]string

// maxValues bounds the values kept of one field; more say nothing new.
const maxValues = 32

// add appends a value that is not blank and not there yet.
func (f *fields) add(k field, v string) {
	v = clean(v)
	if v == "" || len(f[k]) >= maxValues {
		return
	}
	for _, w := range f[k] {
		if w == v {
			return
		}
	}
	f[k] = append(f[k], v)
}

// fill takes from g what f has no value for.
func (f *fields) fill(g *fields) {
	for k := range f {
		if len(f[k]) == 0 {
			f[k] = g[k]
		}
	}
}

// names maps the free-form names of Vorbis comments, APE items, ID3 TXXX frames
// and MP4 "----" items, in lower case and without spaces and signs.
var names = map[string]field{
	"title": title, "artist": artist, "album": album,
	"albumartist": albumArtist, "performer": albumArtist,
	"label": label, "publisher": label, "organization": label, "organisation": label, "recordlabel": label,
	"catalognumber": catalogue, "cataloguenumber": catalogue, "catalog": catalogue, "catalogue": catalogue,
	"catalogno": catalogue, "catno": catalogue, "labelno": catalogue, "catalogid": catalogue,
	"isrc": isrc, "date": year, "year": year, "releasedate": year,
	"originaldate": originalYear, "originalyear": originalYear,
	"genre": genre, "comment": comment, "description": comment,
	"bpm": bpm, "tempo": bpm, "tbpm": bpm,
	"key": key, "initialkey": key, "tkey": key,
}

// named finds the field of a free-form name.
func named(s string) (field, bool) {
	s = strings.Map(func(r rune) rune {
		switch {
		case r >= 'A' && r <= 'Z':
			return r + 'a' - 'A'
		case r >= 'a' && r <= 'z':
			return r
		}
		return -1
	}, s)
	k, ok := names[s]
	return k, ok
}

// tags makes the Tags.
func (f *fields) tags() Tags {
	t := Tags{
		Title:           f.join(title, "; "),
		Artist:          f.join(artist, ", "),
		Album:           f.join(album, "; "),
		Label:           f.join(label, "; "),
		CatalogueNumber: f.join(catalogue, "; "),
		Genre:           f.join(genre, "; "),
		Comment:         f.join(comment, "; "),
		Key:             f.join(key, "; "),
	}
	if t.Artist == "" {
		t.Artist = f.join(albumArtist, ", ")
	}
	for _, v := range f[isrc] {
		if t.ISRC == "" {
			t.ISRC = parseISRC(v)
		}
	}
	for _, v := range slices.Concat(f[year], f[originalYear]) {
		if t.Year == 0 {
			t.Year = parseYear(v)
		}
	}
	for _, v := range f[bpm] {
		if t.BPM == nil {
			t.BPM = parseBPM(v)
		}
	}
	return t
}

func (f *fields) join(k field, sep string) string { return clean(strings.Join(f[k], sep)) }

var isrcForm = regexp.MustCompile(`^[A-Z]{2}[A-Z0-9]{3}[0-9]{7}$`)

// parseISRC returns the twelve characters of an International Standard Recording
// Code (ISO 3901), "" when s is none.
func parseISRC(s string) string {
	s = strings.ToUpper(s)
	s = strings.TrimPrefix(s, "ISRC")
	s = strings.Map(func(r rune) rune {
		if strings.ContainsRune(" -:.", r) {
			return -1
		}
		return r
	}, s)
	if !isrcForm.MatchString(s) {
		return ""
	}
	return s
}

var yearForm = regexp.MustCompile(`(?:^|[^0-9])((?:19|20)[0-9]{2})(?:[^0-9]|$)|^((?:19|20)[0-9]{2})[0-9]{4}$`)

// parseYear finds a year from 1900 to 2099 in a date: "2024", "2024-05-01",
// "01.05.2024", "20240501". It returns 0 where there is none.
func parseYear(s string) int {
	m := yearForm.FindStringSubmatch(s)
	if m == nil {
		return 0
	}
	y, _ := strconv.Atoi(m[1] + m[2])
	return y
}

var numberForm = regexp.MustCompile(`^[0-9]{1,6}(?:[.,][0-9]{1,12})?`)

// maxBPM is the highest tempo that is taken for one: above it stand tempi that
// were written in hundredths, or junk.
const maxBPM = 1000

// parseBPM reads "128", "128.00", "127,5" and "128 BPM". It returns nil for zero
// and for what is not a number.
func parseBPM(s string) *float64 {
	v, err := strconv.ParseFloat(strings.Replace(numberForm.FindString(s), ",", ".", 1), 64)
	if err != nil || v <= 0 || v >= maxBPM {
		return nil
	}
	return &v
}
