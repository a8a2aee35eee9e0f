package judge_test

import (
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"dubgauge/detect/reason"
	"dubgauge/detect/standout"
	"dubgauge/library/judge"
	"dubgauge/library/madeup"
	"dubgauge/library/status"
	"dubgauge/library/track"
)

// largeLibrary is of more references than likeness is looked for among.
func largeLibrary() []track.Track {
	rng := rand.New(rand.NewPCG(6, 3))
	tracks := make([]track.Track, 700)
	for i := range tracks {
		tracks[i] = track.Track{ID: int64(i + 1), Root: "/stick", Record: madeup.Record(rng, i), Status: status.Released, Content: fmt.Appendf(nil, "%d", i), Whole: []byte("w")}
		tracks[i].Path = fmt.Sprintf("%03d.wav", i)
		if i%5 == 4 {
			tracks[i].Status = status.Unreleased
		}
	}
	return tracks
}

// What is judged again after marks is what is judged from nothing: whoever becomes a reference
// or is none any more, is ignored or named by hand, be it one of those that likeness is looked for
// among or not.
func TestAgainIsJudge(t *testing.T) {
	was := largeLibrary()
	among := standout.New(judge.Pool(was), standout.Options{}).LooksAmong()
	in := int(among[7] - 1)
	out := slices.IndexFunc(was, func(x track.Track) bool { return x.Status == status.Released && !slices.Contains(among, x.ID) })
	was[44].Content, was[54].Content = was[out].Content, was[out].Content // three copies
	judge.Judge(was, standout.Options{})
	kept := 0
	for _, c := range []struct {
		what   string
		place  int
		change func(*track.Track)
	}{
		{"none", 0, func(*track.Track) {}},
		{"a track is released", 9, func(x *track.Track) { x.Status = status.Released }},
		{"a reference is none", out, func(x *track.Track) { x.Status = status.Unreleased }},
		{"one that is looked at is none", in, func(x *track.Track) { x.Status = status.Unreleased }},
		{"a track is ignored", 14, func(x *track.Track) { x.Marks.Ignore = true }},
		{"a reference of which there are copies is ignored", out, func(x *track.Track) { x.Marks.Ignore = true }},
		{"one is named", 12, func(x *track.Track) { x.Marks.Reference = true }},
	} {
		if testing.Short() && c.place > 0 && c.place != out {
			continue // every kind of change runs the same code at once: for the race detector one does
		}
		want, got := marked(was, c.place, c.change), marked(was, c.place, c.change)
		judge.Judge(want, standout.Options{})
		judge.Again(was, got, standout.Options{})
		compare(t, c.what, want, got)
		for i := range got {
			if c.what == "none" && was[i].Reference.Basis == reason.BasisLike && len(was[i].Notes) > 0 {
				kept++
				if &got[i].Notes[0] != &was[i].Notes[0] {
					t.Errorf("track %d is judged anew where nothing is another", was[i].ID)
				}
			}
		}
	}
	if kept < 40 || was[44].Twin == 0 || len(was[44].Notes) == 0 {
		t.Errorf("%d judgements are kept: this shows nothing", kept)
	}
	if testing.Short() {
		return
	}
	// What is taken back again: no judgement of then serves where the references were others.
	for _, place := range []int{in, out} {
		ignored := marked(was, place, func(x *track.Track) { x.Marks.Ignore = true })
		judge.Judge(ignored, standout.Options{})
		again := marked(ignored, place, func(x *track.Track) { x.Marks = track.Marks{} })
		judge.Again(ignored, again, standout.Options{})
		compare(t, "no longer ignored", was, again)
	}
	named := marked(was, 12, func(x *track.Track) { x.Marks.Reference = true })
	judge.Judge(named, standout.Options{})
	if named[0].Reference.Basis != reason.BasisNamed {
		t.Fatalf("held against %q", named[0].Reference.Basis)
	}
	back := marked(named, 12, func(x *track.Track) { x.Marks = track.Marks{} })
	judge.Again(named, back, standout.Options{})
	compare(t, "taken back", was, back)
}

// compare tells the first track of which something else is said.
func compare(t *testing.T, what string, want, got []track.Track) {
	t.Helper()
	for i := range want {
		if w, g := said(t, &want[i]), said(t, &got[i]); w != g {
			t.Errorf("%s: of track %d it says\n%s, judged from nothing\n%s", what, want[i].ID, g, w)
			return
		}
	}
}

// said is all that a judgement says of a track.
func said(t *testing.T, x *track.Track) string {
	t.Helper()
	b, err := json.Marshal(x.Judgement)
	if err != nil {
		t.Fatal(err)
	}
	return fmt.Sprint(string(b), x.Members, x.Faults, x.Twin)
}

// marked is a copy of tracks that were judged, ready to be judged again, of which one is changed.
func marked(was []track.Track, place int, change func(*track.Track)) []track.Track {
	tracks := slices.Clone(was)
	for i := range tracks {
		tracks[i].TakeBack()
	}
	change(&tracks[place])
	return tracks
}
