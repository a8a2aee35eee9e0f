package page

import (
	"errors"
	"io"
	"strings"
	"testing"

	"dubgauge/detect/standout"
	"dubgauge/export/madeup"
	"dubgauge/export/whole"
	"dubgauge/library"
)

// TestVeryLargeReports have the details of those tracks that are not ready, say so, and
// read no more than these; one track fewer, and all have theirs.
func TestVeryLargeReports(t *testing.T) {
	defer func(n int) { mostDetails = n }(mostDetails)
	mostDetails = 2000
	tracks := madeup.Tracks(mostDetails + 1)
	out := 0
	for i := range tracks {
		if tracks[i].Verdict != standout.Ready {
			out++
		}
	}
	if out == 0 || out > mostDetails/2 {
		t.Fatalf("%d of %d are not ready", out, len(tracks))
	}
	for _, c := range []struct {
		tracks []library.Track
		want   int
		brief  bool
	}{{tracks, out, true}, {tracks[:mostDetails], mostDetails, false}} {
		read, most := 0, 0
		opts := Options{Fill: func(these []*library.Track) error {
			read, most = read+len(these), max(most, len(these))
			return nil
		}}
		var page strings.Builder
		if err := Report(&page, c.tracks, opts); err != nil {
			t.Fatal(err)
		}
		html := page.String()
		if got := strings.Count(html, `<noscript><div class="detail">`); got != c.want || read != c.want || most > whole.Batch {
			t.Errorf("%d tracks: %d with details, %d read, %d at once; want %d", len(c.tracks), got, read, most, c.want)
		}
		if strings.Contains(html, "only those that are not ready") != c.brief {
			t.Errorf("%d tracks: that details are left out is said: %v", len(c.tracks), !c.brief)
		}
	}
}

// TestReportThatCannotBeRead ends with the error of the reading.
func TestReportThatCannotBeRead(t *testing.T) {
	bad := errors.New("the disk is gone")
	tracks := madeup.Tracks(30)
	for name, opts := range map[string]Options{
		"records": {Fill: func([]*library.Track) error { return bad }},
		"spectra": {Spectra: func([]int64) ([]library.Spectrum, error) { return nil, bad }},
	} {
		if err := Report(io.Discard, tracks, opts); !errors.Is(err, bad) {
			t.Errorf("%s: error %v", name, err)
		}
	}
}
