package running

import (
	"errors"
	"fmt"
	"testing"

	"dubgauge/detect"
	"dubgauge/detect/setlist"
	"dubgauge/library"
)

func someTracks(n int) (tracks []*library.Track) {
	for i := range n {
		t := &library.Track{ID: int64(10 + i)}
		t.Path = fmt.Sprintf("%d.wav", i)
		t.Measurement = detect.Empty()
		t.Loudness.Loudest30sLUFS, t.Trim.TrimDB = detect.Value(-8-i), detect.Value(i)
		tracks = append(tracks, t)
	}
	return tracks
}

// TestReordered: the tracks come in the new order with their trims and steps, what was not
// found at the end, and the numbers of the places anew.
func TestReordered(t *testing.T) {
	tracks := someTracks(3)
	r := &Order{Places: []Place{
		{library.Found{Track: tracks[0]}, 0}, {library.Found{Entry: library.PlaylistEntry{Path: "gone.wav"}}, -1},
		{library.Found{Track: tracks[1]}, 1}, {library.Found{Track: tracks[2]}, 2},
	}}
	if err := r.check(tracks, Options{}); err != nil || r.Set.Tracks[1].Place != 3 || r.Set.Tracks[1].ID != 11 || r.Set.Tracks[2].TrimDB != 2 {
		t.Fatalf("%v, %+v", err, r.Set.Tracks)
	}
	n := r.Reordered([]int{2, 0, 1}, setlist.Options{})
	for i, id := range []int64{12, 10, 11} {
		if p := n.Places[i]; p.Track.ID != id || p.At != i || n.Set.Tracks[i].ID != id || n.Set.Tracks[i].Place != i+1 {
			t.Errorf("place %d: %+v, %+v", i+1, p, n.Set.Tracks[i])
		}
	}
	if p := n.Places[3]; p.At != -1 || p.Entry.Path != "gone.wav" || len(n.Places) != 4 {
		t.Errorf("%+v", n.Places)
	}
	if n.Set.Steps[0].Level.LU != 2 || n.Set.Steps[1].Level.LU != -1 || r.Set.Tracks[0].Place != 1 || r.Set.Steps[0].Level.LU != -1 {
		t.Errorf("%+v", n.Set.Steps)
	}
}

// TestOf: tracks of the library as they are given, each read once.
func TestOf(t *testing.T) {
	tracks := someTracks(2)
	read := 0
	o := Options{Fill: func(these []*library.Track) error { read += len(these); return nil }}
	r, err := Of("x", []*library.Track{tracks[0], tracks[1], tracks[0]}, o)
	if err != nil || read != 2 || r.Found() != 3 || r.Name() != "x" || r.Set.Tracks[2].ID != 10 {
		t.Errorf("%v, %d read, %+v", err, read, r)
	}
	broken := errors.New("broken")
	if _, err := Of("", tracks, Options{Fill: func([]*library.Track) error { return broken }}); !errors.Is(err, broken) {
		t.Errorf("%v", err)
	}
}
