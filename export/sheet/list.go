package sheet

import (
	"bytes"
	"io"
	"path/filepath"
	"slices"

	"dubgauge/export/words"
	"dubgauge/library"
)

// listBy stands in the lists that are written, by which they are known again.
const listBy = "written by dubgauge"

// List writes tracks in their order as a list for players, M3U in UTF-8 or XSPF, that lies
// in the folder dir (absolute; "" where it lies in none, and paths are absolute).
func List(w io.Writer, f library.PlaylistFormat, title string, tracks []*library.Track, dir string) error {
	l := library.Playlist{Title: title, Entries: make([]library.PlaylistEntry, len(tracks))}
	at := library.PlaylistPlace{Dir: dir, By: listBy}
	for i, t := range tracks {
		l.Entries[i] = entry(t)
		if !slices.Contains(at.Roots, t.Root) {
			at.Roots = append(at.Roots, t.Root)
		}
	}
	return library.WritePlaylist(w, f, l, at)
}

// entry is a track as lists name it; one without a title by the name of its file.
func entry(t *library.Track) library.PlaylistEntry {
	return library.PlaylistEntry{
		Path: filepath.ToSlash(t.DiskPath()), Title: words.Clean(t.Tags.Title), Artist: words.Clean(t.Tags.Artist),
		DurationS: float64(t.Measurement.File.DurationS),
	}
}

// oursList tells a list of ours by its head.
func oursList(head []byte) bool {
	line, rest, _ := bytes.Cut(head, []byte("\n"))
	mark := ""
	switch {
	case bytes.Equal(line, []byte("#EXTM3U")):
		mark = "# " + listBy
	case bytes.HasPrefix(line, []byte("<?xml ")):
		mark = "<!-- " + listBy + " -->"
	}
	line, _, _ = bytes.Cut(rest, []byte("\n"))
	return mark != "" && string(line) == mark
}
