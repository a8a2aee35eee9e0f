package judge

import (
	"testing"

	"dubgauge/detect"
	"dubgauge/detect/standout"
	"dubgauge/library/status"
	"dubgauge/library/track"
)

func made(id int64, root, path string, s status.Status, content string) track.Track {
	return track.Track{ID: id, Root: root, Record: track.Record{Path: path, Measurement: detect.Empty()}, Status: s, Content: []byte(content), Whole: []byte("w")}
}

// TestCopyOfAReference: a released record serves as a reference once, whatever copies of
// it lie elsewhere and whatever these are taken for.
func TestCopyOfAReference(t *testing.T) {
	tracks := []track.Track{
		made(1, "/a", "Bootlegs/one.wav", status.Unreleased, "one"),
		made(2, "/a", "Records/one.wav", status.Released, "one"),
		made(3, "/a", "Records/one again.wav", status.Released, "one"),
		made(4, "/b", "Records/one.wav", status.Released, "one"),
		made(5, "/a", "Records/two.wav", status.Released, "two"),
		made(6, "/a", "unknown.wav", status.Unknown, "two"),
	}
	tracks[2].Marks.Reference, tracks[3].Marks.Reference = true, true
	want := map[int64]bool{2: true, 5: true}
	named := map[int64]bool{3: true}
	for _, s := range Pool(tracks) {
		if s.Reference != want[s.ID] {
			t.Errorf("track %d is a reference: %v", s.ID, s.Reference)
		}
		if s.Named != named[s.ID] {
			t.Errorf("track %d is a named reference: %v", s.ID, s.Named)
		}
	}
}

// TestDoublesOfOneStick: the same file on another stick is what a careful DJ has.
func TestDoublesOfOneStick(t *testing.T) {
	tracks := []track.Track{
		made(1, "/a", "one.wav", status.Released, "one"),
		made(2, "/b", "one.wav", status.Released, "one"),
		made(3, "/b", "again.wav", status.Released, "one"),
		made(4, "/b", "old.wav", status.Released, "one"),
	}
	tracks[3].Whole = nil // measured before hashes were kept: it may be another version
	Judge(tracks, standout.Options{})
	for i, want := range []int{0, 1, 1, 0} {
		if got := len(tracks[i].Faults); got != want {
			t.Errorf("track %d has %d faults, want %d: %+v", tracks[i].ID, got, want, tracks[i].Faults)
		}
	}
}
