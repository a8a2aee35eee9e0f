package words

import (
	"strings"
	"testing"

	"dubgauge/detect/standout"
	"dubgauge/library"
)

// Each state of a library as a whole is said, with what to do next; a library in which some
// tracks stand out needs no words but theirs.
func TestNotes(t *testing.T) {
	of := func(verdicts ...standout.Verdict) (all []*library.Track) {
		for i, v := range verdicts {
			x := &library.Track{ID: int64(i + 1)}
			x.Verdict = v
			all = append(all, x)
		}
		return all
	}
	many := of(standout.Ready, standout.Ready, standout.Ready, standout.Ready, standout.Ready)
	one := of(standout.Ready, standout.Check)
	one[0].Marks.Reference = true
	ignored := of(standout.Ready, standout.Ready)
	for _, x := range ignored {
		x.Marks.Ignore = true
	}
	for _, c := range []struct {
		name         string
		tracks, refs []*library.Track
		want         []string
	}{
		{"nothing", nil, nil, nil},
		{"all ignored", ignored, nil, []string{"All tracks are ignored. Take the marks"}},
		{"none can be read", of(standout.Unreadable, standout.Unreadable), nil, []string{"None of the files can be read: 2 tracks. What is wrong stands beside each"}},
		{"one that cannot be read", of(standout.Unreadable), nil, []string{"None of the files can be read: 1 track."}},
		{"all ready", many, many, []string{"All 5 tracks are ready: nothing stands out. Take the trims along"}},
		{"one, ready, too few references", many[:1], many[:1], []string{"The one track is ready", "Too few released tracks to hold the others against, so fixed values serve. Add records"}},
		{"some stand out", append(of(standout.Check), many...), many, nil},
		{"one named", one, one[:1], []string{"One track alone is the reference: every verdict follows from it. Name more"}},
		{"some unreadable", append(of(standout.Unreadable), many...), many, nil},
	} {
		got := Notes(c.tracks, c.refs)
		if len(got) != len(c.want) {
			t.Errorf("%s: %+v, want %q", c.name, got, c.want)
			continue
		}
		for i, n := range got {
			if !strings.HasPrefix(n.What+" "+n.Do, c.want[i]) || n.Do == "" {
				t.Errorf("%s: %q, want %q", c.name, n.What+" "+n.Do, c.want[i])
			}
		}
	}
}

// A track stands out by what its reasons name, and by nothing where it is ignored.
func TestStandsOut(t *testing.T) {
	x := &library.Track{}
	x.Reasons = []string{"low end thin", "mono loss"}
	for q, want := range map[standout.Quantity]bool{standout.Level: false, standout.LowEnd: true, standout.Sub: false, standout.Bass: false, standout.Mono: true} {
		if got := StandsOut(x, q); got != want {
			t.Errorf("%s: %v, want %v", q, got, want)
		}
	}
	x.Marks.Ignore = true
	if StandsOut(x, standout.LowEnd) {
		t.Error("an ignored track stands out")
	}
}

func TestFolder(t *testing.T) {
	for place, want := range map[string]string{"a.wav": "", "Dubs/a.wav": "Dubs", "STICK: Dubs/x/a.wav": "STICK: Dubs/x", "": "", "/a": ""} {
		if got := Folder(place); got != want {
			t.Errorf("%q lies in %q, want %q", place, got, want)
		}
	}
}
