package judge

import (
	"fmt"
	"slices"
	"testing"
	"time"

	"dubgauge/detect"
	"dubgauge/detect/reason"
	"dubgauge/detect/standout"
	"dubgauge/library/status"
	"dubgauge/library/track"
)

// shelf is tracks on one stick, numbered from 1, with a print each that has their number.
func shelf(paths ...string) (all []*track.Track, p Shared) {
	p.Of = map[int64]int64{}
	for i, path := range paths {
		id := int64(i + 1)
		t := &track.Track{ID: id, Root: "/stick", Record: track.Record{Path: path, Measurement: detect.Empty()}, Status: status.Unreleased}
		t.Verdict, t.MismatchDB, t.Past, t.Reference.Basis = standout.Ready, 0, 0.5, reason.BasisLike
		all, p.Of[id] = append(all, t), id
	}
	return all, p
}

func pairs(seconds float64, ids ...int64) (m []Match) {
	for i, a := range ids {
		for _, b := range ids[i+1:] {
			m = append(m, Match{a, b, seconds})
		}
	}
	return m
}

// said is what stands in the versions of a track: numbers, with a star for a part.
func said(t *track.Track) string {
	if t.Versions == nil {
		return ""
	}
	s := ""
	for _, v := range t.Versions.Tracks {
		s += fmt.Sprint(v.ID)
		if v.Part {
			s += "*"
		}
		s += " "
	}
	return s
}

func wantSaid(t *testing.T, all []*track.Track, want ...string) {
	t.Helper()
	for i, x := range all {
		if got := said(x); got != want[i] {
			t.Errorf("%s: versions %q, want %q", x.Path, got, want[i])
		}
	}
}

// TestVersionsGroup: three of one tune, of which two were not matched with each other,
// and one of another.
func TestVersionsGroup(t *testing.T) {
	all, p := shelf("c.wav", "a.wav", "b.wav", "d.wav")
	p.Matches = []Match{{1, 2, 100}, {3, 1, 90}, {2, 3, 80}}
	Versions(all, p)
	wantSaid(t, all, "2 3 ", "3 1 ", "2 1 ", "")
	if v := all[0].Versions.Tracks; v[0].Seconds != 100 || v[1].Seconds != 90 || v[0].Path != "a.wav" || v[0].Released {
		t.Errorf("%+v", v)
	}
	all, p = shelf("a.wav", "b.wav", "c.wav", "d.wav") // 3 and 4 were not matched
	p.Matches = append(pairs(100, 1, 2, 3), Match{1, 4, 50}, Match{2, 4, 50})
	Versions(all, p)
	wantSaid(t, all, "2 3 4 ", "1 3 4 ", "1 2 4 ", "1 2 3 ")
	if v := all[2].Versions.Tracks[2]; v.Part || v.Seconds.Exists() {
		t.Errorf("found through others alone: %+v", v)
	}
}

// TestVersionsMashUp: a mash-up belongs to the tune of which it has most, and shares music
// with the other; the two tunes share none.
func TestVersionsMashUp(t *testing.T) {
	all, p := shelf("a.wav", "b.wav", "mash-up.wav")
	p.Matches = []Match{{1, 3, 120}, {2, 3, 60}}
	Versions(all, p)
	wantSaid(t, all, "3 ", "3* ", "1 2* ")
	all, p = shelf("a1.wav", "a2.wav", "b1.wav", "b2.wav", "mash-up.wav")
	p.Matches = append(append(pairs(200, 1, 2), pairs(200, 3, 4)...), Match{1, 5, 60}, Match{2, 5, 60}, Match{3, 5, 50})
	Versions(all, p)
	wantSaid(t, all, "2 5 ", "1 5 ", "4 5* ", "3 ", "1 2 3* ")
}

// TestVersionsWho: tracks that take no part, on another stick, or without a print have no
// versions, and the same audio twice is no version.
func TestVersionsWho(t *testing.T) {
	all, p := shelf("a.wav", "b.wav", "ignored.wav", "missing.wav", "elsewhere.wav", "old.wav")
	all[2].Marks.Ignore = true
	all[3].MissingSince = time.Unix(1, 0)
	all[4].Root = "/other"
	delete(p.Of, 6)
	p.Matches = pairs(100, 1, 2, 3, 4, 5, 6)
	Versions(all, p)
	wantSaid(t, all, "2 ", "1 ", "", "", "", "")

	all, p = shelf("a.wav", "a.mp3", "b.wav", "copy.wav", "copy of b.wav")
	all[0].Twin, all[1].Twin, p.Of[5] = 1, 1, p.Of[3]
	p.Matches = pairs(100, 1, 2)
	Versions(all, p)
	wantSaid(t, all, "", "", "", "", "")
	p.Matches = append(p.Matches, pairs(100, 2, 3)...)
	Versions(all, p)
	wantSaid(t, all, "3 ", "3 ", "1 ", "", "1 ")
}

// TestVersionsNearest: the verdict counts first, then how far past a cut-off, then the
// level.
func TestVersionsNearest(t *testing.T) {
	for _, c := range []struct {
		name   string
		change func(a, b *track.Track)
		want   int64
	}{
		{"nothing between them", func(a, b *track.Track) {}, 0},
		{"verdict", func(a, b *track.Track) { a.Verdict, b.MismatchDB = standout.Check, 3 }, 2},
		{"past", func(a, b *track.Track) { a.Past, b.Past, b.MismatchDB = 1.8, 1.4, 3 }, 2},
		{"within the cut-offs the level", func(a, b *track.Track) { a.Past, b.Past, b.MismatchDB = 0.9, 0.1, -1 }, 1},
		{"level", func(a, b *track.Track) { a.MismatchDB, b.MismatchDB = -2, 1 }, 2},
		{"one released", func(a, b *track.Track) { a.Status, a.MismatchDB = status.Released, 2 }, 0},
		{"fixed values", func(a, b *track.Track) { a.Reference.Basis, a.MismatchDB = reason.BasisFixed, 2 }, 0},
		{"one unreadable", func(a, b *track.Track) { a.Verdict = standout.Unreadable }, 0},
	} {
		all, p := shelf("a.wav", "b.wav")
		c.change(all[0], all[1])
		p.Matches = pairs(100, 1, 2)
		Versions(all, p)
		for _, x := range all {
			if v := x.Versions; v.Nearest != c.want || (v.NearestPath != "") != (c.want != 0) {
				t.Errorf("%s: %s says %d %q, want %d", c.name, x.Path, v.Nearest, v.NearestPath, c.want)
			}
		}
	}
}

// TestVersionsOlder: names count before times.
func TestVersionsOlder(t *testing.T) {
	day := time.Unix(1e9, 0)
	for _, c := range []struct {
		name   string
		paths  []string
		change func(all []*track.Track)
		want   []string // who is older than whom by what
	}{
		{"name", []string{"x v7.wav", "x v8.wav"}, func([]*track.Track) {}, []string{"2 name", ""}},
		{"time", []string{"x.wav", "x b.wav"}, func(all []*track.Track) { all[0].ModTime, all[1].ModTime = day.Add(time.Hour), day }, []string{"", "1 time"}},
		{"copied together", []string{"x.wav", "x b.wav"}, func(all []*track.Track) { all[0].ModTime, all[1].ModTime = day.Add(9*time.Minute), day }, []string{"", ""}},
		{"one time", []string{"x.wav", "x b.wav"}, func(all []*track.Track) { all[0].ModTime = day }, []string{"", ""}},
		{"both", []string{"x v7.wav", "x v8.wav"}, func(all []*track.Track) { all[0].ModTime, all[1].ModTime = day, day.Add(time.Hour) }, []string{"2 name and time", ""}},
		{"name against time", []string{"x v7.wav", "x v8.wav"}, func(all []*track.Track) { all[0].ModTime, all[1].ModTime = day.Add(time.Hour), day }, []string{"2 name", ""}},
		{"three", []string{"x v7.wav", "x v9.wav", "x v8.wav"}, func([]*track.Track) {}, []string{"2 name", "", "2 name"}},
		{"released", []string{"x v7.wav", "x v8.wav"}, func(all []*track.Track) { all[1].Status = status.Released }, []string{"", ""}},
		{"released too", []string{"x v7.wav", "x v8.wav"}, func(all []*track.Track) { all[0].Status = status.Released }, []string{"", ""}},
	} {
		all, p := shelf(c.paths...)
		c.change(all)
		for i := range all {
			p.Matches = append(p.Matches, pairs(100, int64(1), int64(i+1))...)
		}
		p.Matches = slices.DeleteFunc(append(p.Matches, pairs(100, 2, int64(len(all)))...), func(m Match) bool { return m.A == m.B })
		Versions(all, p)
		for i, x := range all {
			got := ""
			if o := x.Versions.Older; o != nil {
				got = fmt.Sprint(o.Than, " ", o.By)
				if o.ThanPath != all[o.Than-1].Path {
					t.Errorf("%s: %+v", c.name, o)
				}
			}
			if got != c.want[i] {
				t.Errorf("%s: %s is older than %q, want %q", c.name, x.Path, got, c.want[i])
			}
		}
	}
}

// TestVersionsChangeNoVerdict: that tracks are versions is no fault.
func TestVersionsChangeNoVerdict(t *testing.T) {
	all, p := shelf("a.wav", "b.wav")
	p.Matches = pairs(100, 1, 2)
	Versions(all, p)
	if x := all[0]; x.Verdict != standout.Ready || len(x.Faults) > 0 || len(x.Reasons) > 0 || len(x.Notes) > 0 {
		t.Errorf("%+v", x.Judgement)
	}
}

// TestManyVersions: of many, so many are listed.
func TestManyVersions(t *testing.T) {
	var paths []string
	var ids []int64
	for i := range 120 {
		paths, ids = append(paths, fmt.Sprintf("%03d.wav", i)), append(ids, int64(i+1))
	}
	all, p := shelf(paths...)
	p.Matches = pairs(100, ids...)
	Versions(all, p)
	if n := len(all[119].Versions.Tracks); n != mostVersions {
		t.Errorf("%d listed", n)
	}
}
