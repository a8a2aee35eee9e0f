package words

import (
	"testing"

	"dubgauge/library"
)

func TestSticks(t *testing.T) {
	at := func(root string) library.Track {
		return library.Track{Root: root, Record: library.Record{Path: "a.wav"}}
	}
	for _, c := range []struct {
		roots []string
		want  string // of the first track
	}{
		{[]string{"/media/MAIN"}, "a.wav"},
		{[]string{"/media/MAIN", "/media/MAIN"}, "a.wav"},
		{[]string{"/media/MAIN", "/media/SPARE"}, "MAIN: a.wav"},
		{[]string{"/media/one/USB", "/media/two/USB", "/media/SPARE"}, "/media/one/USB: a.wav"},
		{[]string{"/media/USB", "/media/usb"}, "/media/USB: a.wav"},
	} {
		var tracks []library.Track
		for _, r := range c.roots {
			tracks = append(tracks, at(r))
		}
		if got := SticksOf(tracks).Place(&tracks[0]); got != c.want {
			t.Errorf("%q: %q, want %q", c.roots, got, c.want)
		}
	}
}
