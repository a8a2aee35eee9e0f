package page

import (
	"strings"
	"testing"

	"dubgauge/export/madeup"
	"dubgauge/library"
)

// TestVersionsInDetails: a track that has versions says so in its details, and no other.
func TestVersionsInDetails(t *testing.T) {
	tracks := []library.Track{madeup.Track(1, "ferry v7.wav", -8), madeup.Track(2, "ferry <v8>.wav", -7), madeup.Track(3, "x.wav", -7)}
	tracks[0].Versions = &library.Versions{Tracks: []library.Version{{ID: 2, Path: tracks[1].Path, Seconds: 100}}}
	html := reportText(t, tracks)
	if n := strings.Count(html, "<dt>Versions<dd>"); n != 1 {
		t.Errorf("%d tracks have versions, want 1", n)
	}
	if !strings.Contains(html, "<dt>Versions<dd>The same music as #2 ferry &lt;v8&gt;.wav (1:40 of it).") {
		t.Error("they are not named")
	}
}
