package running

import (
	"context"
	"errors"
	"testing"

	"dubgauge/detect"
	"dubgauge/detect/setlist"
	"dubgauge/export/madeup"
	"dubgauge/library"
)

func listOf(paths ...string) library.Playlist {
	l := library.Playlist{Name: "/sets/friday.m3u"}
	for i, p := range paths {
		l.Entries = append(l.Entries, library.PlaylistEntry{Path: p, DurationS: float64(detect.None), Line: i + 1})
	}
	return l
}

func tracks(levels ...float64) (all []*library.Track) {
	for i, level := range levels {
		t := madeup.Track(int64(i+1), string(rune('a'+i))+".wav", level)
		all = append(all, &t)
	}
	return all
}

// TestNew: places keep the order of the list; steps lead over what was not found; a track
// that stands twice is two of the set.
func TestNew(t *testing.T) {
	filled := 0
	o := Options{Dir: "/music", Fill: func(these []*library.Track) error { filled += len(these); return nil }}
	r, err := New(context.Background(), listOf("b.wav", "no.wav", "a.wav", "b.wav"), tracks(-7, -9), o)
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []int{0, -1, 1, 2} {
		if r.Places[i].At != want {
			t.Errorf("place %d is track %d of the set, not %d", i, r.Places[i].At, want)
		}
	}
	if r.Found() != 3 || filled != 2 || len(r.Tracks()) != 3 || r.Tracks()[1].Path != "a.wav" {
		t.Errorf("%d found, %d filled, tracks %v", r.Found(), filled, r.Tracks())
	}
	// -9 then -7 LUFS: 2 LU up, then 2 down.
	if r.Step(&r.Places[0]) != nil || r.Step(&r.Places[1]) != nil || r.Step(&r.Places[2]).Level.LU != 2 || r.Step(&r.Places[3]).Level.LU != -2 {
		t.Errorf("steps %+v", r.Set.Steps)
	}
	if trim := r.Trim(&r.Places[0]); trim != r.Set.Levelling.Trims[0] || !trim.Exists() || r.Trim(&r.Places[1]).Exists() {
		t.Errorf("trims %v, %v", trim, r.Trim(&r.Places[1]))
	}
	if r.Name() != "friday.m3u" {
		t.Error(r.Name())
	}
	if r.List.Title = "Friday"; r.Name() != "Friday" {
		t.Error(r.Name())
	}
}

// TestErrors of filling and of who waits no more.
func TestErrors(t *testing.T) {
	bad := errors.New("the disk is gone")
	if _, err := New(context.Background(), listOf("a.wav"), tracks(-7), Options{Dir: "/music", Fill: func([]*library.Track) error { return bad }}); err != bad {
		t.Error(err)
	}
	ctx, stop := context.WithCancel(context.Background())
	stop()
	if _, err := New(ctx, listOf("a.wav"), tracks(-7), Options{}); err != context.Canceled {
		t.Error(err)
	}
	r, err := New(context.Background(), listOf(), nil, Options{Set: setlist.Options{}})
	if err != nil || r.Found() != 0 || len(r.Set.Steps) != 0 {
		t.Error(r, err)
	}
}
