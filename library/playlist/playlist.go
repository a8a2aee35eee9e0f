// Package playlist reads and writes lists of tracks, and finds the tracks of the library
// that the entries of a list mean.
//
// Three forms are read, told by the content first and by the name where it does not say:
//
//	M3U, M3U8   a path a line, #EXTINF before it (common practice, no standard); UTF-8
//	            with and without a mark, UTF-16 with one, else ISO 8859-1 line by line
//	XSPF        version 0 and 1 (https://xspf.org/spec)
//	CSV         RFC 4180 with a header in which a column is called path; commas,
//	            semicolons or tabs
//
// A list is a stranger's file: nothing that it says makes reading it take more than
// MaxBytes and MaxEntries, and no entity, schema or address in it is followed.
package playlist

import (
	"fmt"
	"math"
)

const (
	// MaxEntries is how many entries a list may have: ten times what a large one has.
	MaxEntries = 100_000
	// MaxBytes is how large a list may be: over 300 bytes for each of MaxEntries.
	MaxBytes = 32 << 20
	// maxLine is the longest line of an M3U in bytes; the longest path that an operating
	// system opens has 32,767 characters.
	maxLine = 128 << 10
	// maxText is the longest title or artist that is kept, in characters, as of tags.
	maxText = 1000
	// maxWarnings is how many warnings a list keeps; the rest are counted.
	maxWarnings = 100
)

// Entry is one place of a list.
type Entry struct {
	// Path is the file that is meant, with forward slashes: absolute ("/a/b.wav",
	// "C:/a/b.wav", "//server/share/b.wav"), or relative to the folder of the list. A
	// file: URL is taken apart; an address of another kind stays as it is. It may be empty
	// where a title is given.
	Path string
	// Also are further places of the same track (XSPF allows several).
	Also []string
	// Title and Artist are what the list says, on one line.
	Title, Artist string
	// DurationS is the length in seconds; NaN where the list has none.
	DurationS float64
	// Line is where in the list the entry stands, from 1.
	Line int
}

// List is a list as it was read.
type List struct {
	// Name is what the list was read from, for messages.
	Name string
	// Title is the list's own, "" where it has none.
	Title string
	// Format is the form that it was read in.
	Format  Format
	Entries []Entry
	// Warnings are what was passed over; More is how many there were besides.
	Warnings []Warning
	More     int
}

// Warning is something in a list that was passed over.
type Warning struct {
	Line int // from 1
	Text string
}

// Format is a form of lists.
type Format string

// The formats.
const (
	M3U  Format = "m3u"
	XSPF Format = "xspf"
	CSV  Format = "csv"
)

// Error says what is wrong with a list as a whole.
type Error struct {
	Name string // of the list
	Line int    // from 1; 0 where no line is meant
	Why  string
}

func (e *Error) Error() string {
	if e.Line == 0 {
		return fmt.Sprintf("%s: %s", e.Name, e.Why)
	}
	return fmt.Sprintf("%s, line %d: %s", e.Name, e.Line, e.Why)
}

// wrong is an Error of this list.
func (l *List) wrong(line int, format string, args ...any) error {
	return &Error{l.Name, line, fmt.Sprintf(format, args...)}
}

// warn notes what was passed over.
func (l *List) warn(line int, format string, args ...any) {
	if len(l.Warnings) >= maxWarnings {
		l.More++
		return
	}
	l.Warnings = append(l.Warnings, Warning{line, fmt.Sprintf(format, args...)})
}

// add adds an entry, as long as there is room; one that says nothing is passed over.
func (l *List) add(e Entry) error {
	e.Title, e.Artist = oneLine(e.Title), oneLine(e.Artist)
	if e.Path == "" && len(e.Also) == 0 && e.Title == "" {
		l.warn(e.Line, "a track without a place and without a title: passed over")
		return nil
	}
	if len(l.Entries) >= MaxEntries {
		return l.wrong(e.Line, "the list has more than %d entries, which is as many as are read", MaxEntries)
	}
	if !(e.DurationS > 0) || math.IsInf(e.DurationS, 0) {
		e.DurationS = math.NaN()
	}
	l.Entries = append(l.Entries, e)
	return nil
}
