package demo

import (
	"fmt"
	"math"
	"os"
	"path"
	"path/filepath"
	"strings"
)

// ListName is the file of the running order, beside the music.
const ListName = "last boat home.m3u8"

// Stop is a place of the running order: a track, and what was planted in the step to it,
// as reason codes.
type Stop struct {
	Path    string
	Planted []string
}

// Order is the running order. Four faults are planted in its steps: a dubplate without its
// low end, two keys a semitone apart, a premaster that is 4 dB down, and a jump in tempo.
// What leads out of such a track stands out as well.
func Order() []Stop {
	return []Stop{
		{Path: "Records/Tallow Brace - Second Deck.flac"},
		{Path: "Records/Tallow Brace - Gangway.flac"},
		{Path: "Records/Ondine Kestle - Ballast.aiff"},
		{Path: "New/lantern row.flac"},
		{Path: "Dubs/black water dubplate.flac", Planted: []string{"sub step"}},
		{Path: "Records/Pier Foreman - Engine Room.flac", Planted: []string{"sub step"}},
		{Path: "Dubs/two masts mashup.wav"},
		{Path: "Records/Marl & Oakum - Tarpaulin.flac"},
		{Path: "Records/Pier Foreman - Winch.wav", Planted: []string{"key clash"}},
		{Path: "Own/keel line wip.wav", Planted: []string{"level step"}},
		{Path: "Records/Cinder Wren - Undertow.flac", Planted: []string{"tempo step", "level step", "key clash"}},
	}
}

// writeList writes the running order as an extended M3U in UTF-8, with relative paths.
func writeList(dir string) error {
	var b strings.Builder
	b.WriteString("#EXTM3U\n")
	for _, s := range Order() {
		name := path.Base(s.Path)
		fmt.Fprintf(&b, "#EXTINF:%.0f,%s\n%s\n", math.Round(lengthOf(s.Path)), strings.TrimSuffix(name, path.Ext(name)), s.Path)
	}
	return os.WriteFile(filepath.Join(dir, ListName), []byte(b.String()), 0o644)
}

// lengthOf is the length in seconds of the track at a path of the library.
func lengthOf(p string) float64 {
	for _, t := range Tracks() {
		if t.Path == p {
			return t.song.length()
		}
	}
	return math.NaN()
}
