package playlist

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"

	"dubgauge/decode"
	"dubgauge/library/track"
)

// there tells that a place is a regular file of this machine.
func (f *finder) there(place string) bool {
	full := f.full(place)
	if onServer(full) {
		return false
	}
	fi, err := os.Stat(filepath.FromSlash(full))
	return err == nil && fi.Mode().IsRegular()
}

// onServer tells a path that would ask another machine; more than two slashes are one.
func onServer(p string) bool { return strings.HasPrefix(p, "//") && len(p) > 2 && p[2] != '/' }

// sameBytes finds the tracks whose files have the bytes of the file at path, as far as
// track.ContentOf samples them. The file is opened only where it is a regular one of a size
// that a track has.
func (f *finder) sameBytes(path string) []*track.Track {
	fi, err := os.Stat(path)
	if err != nil || !fi.Mode().IsRegular() || len(f.size[fi.Size()]) == 0 {
		return nil
	}
	file, fi, err := decode.OpenRegular(path)
	if err != nil {
		return nil
	}
	defer file.Close()
	content, err := track.ContentOf(file, fi.Size())
	if err != nil {
		return nil
	}
	return keep(f.size[fi.Size()], func(t *track.Track) bool { return bytes.Equal(t.Content, content) })
}
