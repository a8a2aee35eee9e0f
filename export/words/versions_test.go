package words

import (
	"testing"

	"dubgauge/detect"
	"dubgauge/library"
)

// TestVersions: what is said of the versions of track 1, in a terminal and in the list.
func TestVersions(t *testing.T) {
	v8 := library.Version{ID: 8, Path: "Dubs/ferry v8.wav", Seconds: 215}
	record := library.Version{ID: 3, Path: "ferry.flac", Released: true, Seconds: detect.None}
	other := library.Version{ID: 9, Path: "x.wav", Seconds: 62, Part: true}
	older := &library.Older{Than: 8, ThanPath: "Dubs/ferry v8.wav", By: library.OlderByBoth}
	var many []library.Version
	for i := range int64(8) {
		many = append(many, library.Version{ID: i + 2, Path: "v.wav", Seconds: detect.None})
	}
	for _, c := range []struct {
		name       string
		v          *library.Versions
		said, mark string
	}{
		{"none", nil, "", ""},
		{"nothing", &library.Versions{}, "", ""},
		{"one", &library.Versions{Tracks: []library.Version{v8}}, "the same music as #8 Dubs/ferry v8.wav (3:35 of it)", "same music as #8"},
		{"a record", &library.Versions{Tracks: []library.Version{record}}, "the same music as #3 ferry.flac (released)", "same music as #3"},
		{"an older one", &library.Versions{Tracks: []library.Version{record, v8}, Nearest: 8, NearestPath: "Dubs/ferry v8.wav", Older: older},
			"the same music as #3 ferry.flac (released) and #8 Dubs/ferry v8.wav (3:35 of it); the nearest to its references is #8 Dubs/ferry v8.wav; by its name and time this one is older than #8 Dubs/ferry v8.wav", "older version of #8"},
		{"the nearest", &library.Versions{Tracks: []library.Version{other, record, v8}, Nearest: 1, NearestPath: "me.wav", Older: older},
			"the same music as #3 ferry.flac (released) and #8 Dubs/ferry v8.wav (3:35 of it); some music of #9 x.wav (1:02 of it); this one is the nearest to its references; by its name and time this one is older than #8 Dubs/ferry v8.wav", "nearest of 3 versions"},
		{"a mash-up", &library.Versions{Tracks: []library.Version{other, v8}}, "the same music as #8 Dubs/ferry v8.wav (3:35 of it); some music of #9 x.wav (1:02 of it)", "same music as #8"},
		{"in part", &library.Versions{Tracks: []library.Version{other}}, "some music of #9 x.wav (1:02 of it)", "some music of #9"},
		{"many", &library.Versions{Tracks: many}, "the same music as #2 v.wav, #3 v.wav, #4 v.wav, #5 v.wav, #6 v.wav, #7 v.wav and 2 others", "same music as #2"},
	} {
		x := &library.Track{ID: 1, Versions: c.v}
		if got := Plain.Versions(x); got != c.said {
			t.Errorf("%s:\n%q, want\n%q", c.name, got, c.said)
		}
		if got := VersionMark(x); got != c.mark {
			t.Errorf("%s: mark %q, want %q", c.name, got, c.mark)
		}
	}
	x := &library.Track{ID: 1, Versions: &library.Versions{Tracks: []library.Version{{ID: 2, Path: "a\u202eb.wav", Seconds: detect.None}}}}
	if got := Page.Versions(x); got != "The same music as #2 a b.wav." {
		t.Errorf("on the page: %q", got)
	}
}
