package tags

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"

	"github.com/dhowden/tag"
)

// An independent library reads the same titles, artists and albums from the files
// whose forms it knows and gets right: not several values in a field, nothing in
// WAV, AIFF, RF64, ASF or APE, no FLAC behind an ID3 tag.
func TestAgainstIndependentLibrary(t *testing.T) {
	for _, name := range []string{"ffmpeg-aac.m4a", "ffmpeg-alac.m4a", "ffmpeg-id3v23.mp3", "ffmpeg-id3v24.mp3", "ffmpeg-opus.opus",
		"ffmpeg-vorbis.ogg", "ffmpeg.flac", "id3v2-tool.mp3", "lame-id3v1.mp3", "lame-id3v2.mp3", "lame-utf16.mp3", "mid3v2.mp3"} {
		b, err := os.ReadFile(filepath.Join("testdata/files", name))
		if err != nil {
			t.Fatal(err)
		}
		theirs, err := tag.ReadFrom(bytes.NewReader(b))
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		ours, err := readBytes(b)
		if err != nil {
			t.Errorf("%s: %v", name, err)
		}
		for _, v := range [][2]string{{ours.Title, theirs.Title()}, {ours.Artist, theirs.Artist()}, {ours.Album, theirs.Album()}} {
			if v[0] != clean(v[1]) || v[0] == "" {
				t.Errorf("%s: %q, theirs %q", name, v[0], v[1])
			}
		}
	}
}
