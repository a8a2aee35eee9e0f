package whole

import (
	"errors"
	"fmt"
	"runtime"
	"testing"
	"time"

	"dubgauge/export/madeup"
	"dubgauge/library"
)

func made(n int) (tracks []*library.Track) {
	for i := range n {
		t := madeup.Track(int64(i+1), fmt.Sprintf("%04d.wav", i), -9)
		tracks = append(tracks, &t)
	}
	return tracks
}

// TestTracksAreFilledInOrder: each once, in batches, and those that were handed in stay as
// light as they were.
func TestTracksAreFilledInOrder(t *testing.T) {
	for _, n := range []int{0, 1, Batch, 2*Batch + 7} {
		tracks := made(n)
		filled, next := 0, 0
		fill := func(these []*library.Track) error {
			if len(these) > Batch || len(these) == 0 {
				t.Errorf("%d at once", len(these))
			}
			filled += len(these)
			for _, x := range these {
				x.Tags.Album = "album " + x.Path
			}
			return nil
		}
		err := Tracks(tracks, fill, func(x *library.Track) error {
			if x.ID != tracks[next].ID || x.Tags.Album != "album "+x.Path || tracks[next].Tags.Album != "" {
				t.Fatalf("track %d is %d, album %q, was handed in with %q", next, x.ID, x.Tags.Album, tracks[next].Tags.Album)
			}
			next++
			return nil
		})
		if err != nil || next != n || filled != n {
			t.Errorf("%d of %d tracks, %d filled, error %v", next, n, filled, err)
		}
	}
}

// TestEndOfTracks: an error of either side ends both.
func TestEndOfTracks(t *testing.T) {
	bad, running := errors.New("the disk is gone"), runtime.NumGoroutine()
	read := make(chan int, 10)
	fill := func([]*library.Track) error {
		read <- 1
		if len(read) == 2 {
			return bad
		}
		return nil
	}
	used := 0
	err := Tracks(made(5*Batch), fill, func(*library.Track) error { used++; return nil })
	if !errors.Is(err, bad) || used != Batch || len(read) != 2 {
		t.Errorf("error %v after %d tracks and %d readings", err, used, len(read))
	}
	again := make(chan int, 10)
	fill = func([]*library.Track) error { again <- 1; return nil }
	if err := Tracks(made(9*Batch), fill, func(*library.Track) error { return bad }); !errors.Is(err, bad) {
		t.Errorf("error %v of a writer that fails", err)
	}
	for deadline := time.Now().Add(5 * time.Second); runtime.NumGoroutine() > running; time.Sleep(time.Millisecond) {
		if time.Now().After(deadline) {
			t.Fatalf("%d goroutines more than before", runtime.NumGoroutine()-running)
		}
	}
	if len(again) > 3 {
		t.Errorf("%d batches were read for a writer that failed on the first track", len(again))
	}
}
