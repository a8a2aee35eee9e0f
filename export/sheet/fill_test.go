package sheet

import (
	"bytes"
	"errors"
	"fmt"
	"strings"
	"testing"

	"dubgauge/export/madeup"
	"dubgauge/export/whole"
	"dubgauge/export/words"
	"dubgauge/library"
)

// TestRecordsAreReadInBatches: every track is filled once, in order, and the tracks that
// were handed in stay as light as they were.
func TestRecordsAreReadInBatches(t *testing.T) {
	var tracks []library.Track
	for i := range 2*whole.Batch + 7 {
		tracks = append(tracks, madeup.Track(int64(i+1), fmt.Sprintf("%04d.wav", i), -9))
	}
	most, all := 0, 0
	fill := func(these []*library.Track) error {
		most, all = max(most, len(these)), all+len(these)
		for _, x := range these {
			x.Tags.Album = "album " + x.Path
		}
		return nil
	}
	var out bytes.Buffer
	if err := TracksCSV(&out, tracks, words.ByName, fill); err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(strings.TrimSpace(out.String()), "\r\n")[1:]
	if all != len(tracks) || most != whole.Batch || len(lines) != len(tracks) {
		t.Errorf("%d filled, %d at once, %d lines of %d tracks", all, most, len(lines), len(tracks))
	}
	for i, line := range lines {
		if name := fmt.Sprintf("%04d.wav", i); !strings.HasPrefix(line, name) || !strings.Contains(line, "album "+name) {
			t.Fatalf("line %d is %q", i, line)
		}
	}
	if tracks[0].Tags.Album != "" {
		t.Error("the track that was handed in was filled")
	}
}

// TestReadingThatFails ends the sheet with that error.
func TestReadingThatFails(t *testing.T) {
	var tracks []library.Track
	for i := range 3 * whole.Batch {
		tracks = append(tracks, madeup.Track(int64(i+1), fmt.Sprintf("%04d.wav", i), -9))
	}
	bad, n := errors.New("the disk is gone"), 0
	fill := func([]*library.Track) error {
		if n++; n == 2 {
			return bad
		}
		return nil
	}
	if err := SortedJSON(&bytes.Buffer{}, tracks, words.ByName, fill); !errors.Is(err, bad) {
		t.Errorf("error %v", err)
	}
}
