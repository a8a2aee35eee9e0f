package store

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"

	"dubgauge/detect"
	"dubgauge/detect/reason"
	"dubgauge/library/track"
)

// Bounds on what a record may hold.
const (
	maxText   = 1000 // characters of a text field
	maxList   = 1000 // bands, steps of the timeline, faults
	maxNumber = 1e9  // nothing that is measured is larger, also in the negative
)

// parseRecord reads a record and checks that it could be one. What is missing
// does not exist, rather than being 0. tail is how its JSON goes on behind the path where
// the line has it already; nil where it has to be written.
func parseRecord(line []byte) (r *track.Record, tail []byte, err error) {
	line = bytes.Trim(line, " \t\r\n")
	r = &track.Record{Measurement: detect.Empty()}
	tail, ok := readCanonical(line, r)
	if !ok {
		*r = track.Record{Measurement: detect.Empty()}
		if err := json.Unmarshal(line, r); err != nil {
			return nil, nil, fmt.Errorf("is not a measurement record: %w", err)
		}
	}
	if r.Path == "" {
		return nil, nil, errors.New("is not a measurement record: it has no path")
	}
	if err := checkNumbers(r); err != nil {
		return nil, nil, err
	}
	if cleanRecord(r) {
		tail = nil
	}
	return r, tail, nil
}

// checkNumbers refuses figures that no measurement gives.
func checkNumbers(r *track.Record) error {
	for _, c := range recordColumns(r) {
		if n, ok := c.field.(number); ok && n.v.Exists() && (*n.v > maxNumber || *n.v < -maxNumber) {
			return fmt.Errorf("%s is %g, which cannot be", c.name, float64(*n.v))
		}
	}
	switch {
	case !possibleEdges(r.Edges):
		return errors.New("a figure of the parts that are mixed cannot be")
	case negative(r):
		return errors.New("a size, rate, count or duration is negative")
	case r.Tags.Year < 0 || r.Tags.Year > 9999:
		return fmt.Errorf("the year is %d", r.Tags.Year)
	}
	if r.Error != nil && !slices.Contains(problemKinds, string(r.Error.Kind)) {
		return fmt.Errorf("the error's kind is %q, not one of %s", cleanText(string(r.Error.Kind)), strings.Join(problemKinds, ", "))
	}
	return checkLists(r)
}

// possibleEdges tells that no figure of the parts that are mixed is larger than any could be.
func possibleEdges(e *detect.Edges) bool {
	if e == nil {
		return true
	}
	for _, v := range []detect.Value{e.Start.FromS, e.Start.ToS, e.Start.LUFS, e.Start.SubDB, e.Start.BassDB,
		e.End.FromS, e.End.ToS, e.End.LUFS, e.End.SubDB, e.End.BassDB} {
		if v.Exists() && (v > maxNumber || v < -maxNumber) {
			return false
		}
	}
	return true
}

// negative tells whether a size, rate, count or duration is below 0.
func negative(r *track.Record) bool {
	f := &r.Measurement.File
	return f.SizeBytes < 0 || f.SampleRateHz < 0 || f.Channels < 0 || r.Peak.ClippedRuns < 0 || f.DurationS < 0 || r.Loudness.Loudest30sOverS < 0
}

// problemKinds are the kinds of detect.Problem.
var problemKinds = []string{"unsupported", "damaged", "truncated", string(reason.ProblemUnreadable)}

// checkLists refuses lists that are endless or do not fit together.
func checkLists(r *track.Record) error {
	s := &r.Spectrum
	switch {
	case len(s.CentreHz) > maxList || len(r.Loudness.TimelineLUFS) > maxList || len(r.Faults) > maxList || len(r.Tags.Sources) > maxList:
		return fmt.Errorf("a list has more than %d entries", maxList)
	case len(s.LoudestDB) != len(s.CentreHz) || len(s.WholeDB) != len(s.CentreHz):
		return errors.New("the spectrum's lists differ in length")
	case len(s.MidDB) != len(s.SideDB) || (len(s.MidDB) > 0 && len(s.MidDB) != len(s.CentreHz)):
		return errors.New("the spectrum's lists of sum and difference differ in length")
	case r.Limiting != nil && (len(r.Limiting.OverDB) > maxList || !wholeTable(r.Limiting)):
		return errors.New("the lists of limiting do not go together")
	}
	return nil
}

// cleanRecord brings all text to the form that tags have here, and tells whether that
// changed anything.
func cleanRecord(r *track.Record) (changed bool) {
	g, f := &r.Tags, &r.Measurement.File
	texts := []*string{&g.Title, &g.Artist, &g.Album, &g.Label, &g.CatalogueNumber, &g.ISRC, &g.Genre, &g.Comment, &g.Key,
		&f.Format, &f.Codec}
	for i := range g.Sources {
		s := &g.Sources[i]
		texts = append(texts, &s.Form, &s.Title, &s.Artist, &s.Album, &s.Label, &s.CatalogueNumber, &s.ISRC)
	}
	if k := r.Measurement.Key; k != nil {
		texts = append(texts, &k.Name, &k.Tonic, &k.Mode, &k.RunnerUp)
	}
	if k := r.Measurement.Kick; k != nil {
		texts = append(texts, &k.SubNote)
	}
	for i := range r.Faults {
		texts = append(texts, &r.Faults[i].Kind, &r.Faults[i].Detail)
	}
	if r.Error != nil {
		texts = append(texts, &r.Error.Detail)
	}
	for _, s := range texts {
		if !plainText(*s) {
			was := *s
			*s = cleanText(was)
			changed = changed || *s != was
		}
	}
	if r.Faults == nil {
		r.Faults, changed = []detect.Fault{}, true
	}
	for _, list := range []*detect.Values{&r.Loudness.TimelineLUFS, &r.Spectrum.LoudestDB, &r.Spectrum.WholeDB} {
		if *list == nil {
			*list, changed = detect.Values{}, true
		}
	}
	if r.Spectrum.CentreHz == nil {
		r.Spectrum.CentreHz, changed = []float64{}, true
	}
	return changed
}

// plainText tells of most texts that cleanText leaves them as they are.
func plainText(s string) bool {
	for i := range len(s) {
		if s[i] < ' ' || s[i] > '~' {
			return false
		}
	}
	return len(s) <= maxText && (s == "" || s[0] != ' ' && s[len(s)-1] != ' ')
}

// cleanText is valid UTF-8 in NFC on one line without control and direction
// characters, at most maxText characters.
func cleanText(s string) string {
	if len(s) > maxText*utf8.UTFMax {
		s = s[:maxText*utf8.UTFMax]
	}
	n := 0
	s = strings.Map(func(r rune) rune {
		if n++; n > maxText {
			return -1
		}
		if unicode.IsSpace(r) {
			return ' '
		}
		if !unicode.IsGraphic(r) {
			return -1
		}
		return r
	}, norm.NFC.String(strings.ToValidUTF8(s, string(utf8.RuneError))))
	return strings.TrimSpace(s)
}
