package decode

import (
	"context"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// TestMismatch opens files under true and false names: the content decides what is
// read, and the name is held against it.
func TestMismatch(t *testing.T) {
	wav, _ := builtWAV()
	aiff, _ := builtAIFF()
	flac, _ := builtFLAC(t)
	mp3 := lame(t, "-b", "128")
	for _, c := range []struct {
		name, part string // of the fault, "" for none
		file       []byte
	}{
		{"a.wav", "", wav}, {"a.WAV", "", wav}, {"a.mp3", "ends in .mp3, but this is a WAV file", wav}, {"a.aif", "a WAV file", wav},
		{"a.mp3", "", mp3}, {"a.wav", "ends in .wav, but this is an MP3 file", mp3}, {"a.m4a", "an MP3 file", mp3}, {"a.flac", "an MP3 file", mp3},
		{"a.flac", "", flac}, {"a.mp3", "a FLAC file", flac}, {"a.wav", "a FLAC file", flac},
		{"a.aif", "", aiff}, {"a.AIFF", "", aiff}, {"a.wav", "an AIFF file", aiff},
		{"a", "", wav}, {"a.bin", "", mp3}, {"v1.2 mix", "", mp3}, {"a.mp3.wav", "", wav},
		{"a.wav", "", mp3WAV(mp3)}, // has a fault of its own
	} {
		path := filepath.Join(t.TempDir(), c.name)
		if err := os.WriteFile(path, c.file, 0o600); err != nil {
			t.Fatal(err)
		}
		s, err := Open(context.Background(), path)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := drain(s); err != io.EOF {
			t.Fatal(err)
		}
		s.Close()
		e := Mismatch(path, s.Info())
		if c.part == "" && e != nil || c.part != "" && (e == nil || e.Kind != Unsupported || !strings.Contains(e.Detail, c.part)) {
			t.Errorf("%s with %s in it: %v, want %q", c.name, s.Info().Format, e, c.part)
		}
	}
}

// TestTwiceDamaged holds that the text of an error can stand beside its kind without
// saying it twice.
func TestTwiceDamaged(t *testing.T) {
	_, err := openBytes(t, []byte("<html>"), Options{})
	e, ok := err.(*Error)
	if !ok || strings.Contains(e.Text(), e.Kind.String()) || e.Error() != e.Kind.String()+": "+e.Text() {
		t.Errorf("%v: %q", err, e.Text())
	}
}
