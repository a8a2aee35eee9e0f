package words

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"dubgauge/library"
)

func TestFound(t *testing.T) {
	a, b := &library.Track{Record: library.Record{Path: "a.wav"}}, &library.Track{Record: library.Record{Path: "b\u202e.wav"}}
	for want, f := range map[string]library.Found{
		"": {Track: a, How: library.ByPath},
		"The list names another place; found by its last folders and its name":                 {Track: a, How: library.ByMovedRoot, Outside: true},
		"Found by title and artist; the list names a file outside the library":                 {Track: a, How: library.ByTitle, Outside: true},
		"Found by its name and length; may be b .wav as well: see that it is the one you mean": {Track: a, How: library.ByNameLength, Others: []*library.Track{b}},
		"May be a.wav, a.wav, a.wav or 2 others as well: see that it is the one you mean":      {Track: b, How: library.ByPath, Others: []*library.Track{a, a, a, a, a}},
		"Not in the library":                                                       {},
		"Not in the library; nearest: a.wav, b .wav":                               {Near: []library.Near{{Track: a}, {Track: b}}},
		"Outside the library, so it was not measured: scan its folder":             {Outside: true, There: true},
		"Not in the library, and not there where the list says":                    {Outside: true},
		"An address on a network, not a file: it is not asked for; nearest: a.wav": {Remote: true, Near: []library.Near{{Track: a}}},
	} {
		if got := Found(&f); got != want {
			t.Errorf("%q, not %q", got, want)
		}
	}
}

func TestEntry(t *testing.T) {
	for want, e := range map[string]library.PlaylistEntry{
		"b.wav": {Path: "x/b.wav", Artist: "A"}, "T": {Path: "b", Title: "T"}, "A - T": {Title: "T", Artist: "A"},
	} {
		if got := Entry(&e); got != want {
			t.Errorf("%q, not %q", got, want)
		}
	}
}

func TestListWarnings(t *testing.T) {
	l := library.Playlist{Warnings: []library.PlaylistWarning{{Line: 3, Text: "a\nb"}}, More: 2}
	if d := cmp.Diff([]string{`line 3: a\nb`, "and 2 more of the kind"}, ListWarnings(&l)); d != "" {
		t.Error(d)
	}
	if got := ListWarnings(&library.Playlist{}); got != nil {
		t.Error(got)
	}
}
