package decode

import (
	"context"
	"encoding/binary"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"dubgauge/decode/need"
	"dubgauge/decode/stream"
)

// TestMismatch opens files under true and false names: the content decides what is
// read, and the name is held against it.
func TestMismatch(t *testing.T) {
	wav, _ := builtWAV()
	aiff, _ := builtAIFF()
	flac, _ := builtFLAC(t)
	mp3 := lame(t, "-b", "128")
	tag := func(b []byte) []byte { out, _ := behindID3(b, nil); return out }
	made := map[string][]byte{}
	through := func(name, args string) []byte {
		key := name + args
		if made[key] == nil {
			path := filepath.Join(t.TempDir(), name)
			raw, _ := binary.Append(nil, binary.LittleEndian, sample16(44100, 2))
			need.Program(t, "ffmpeg")
			run(t, raw, "ffmpeg", append(append(strings.Fields("-loglevel error -f s16le -ar 44100 -ac 2 -i pipe:0"), strings.Fields(args)...), path)...)
			b, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			made[key] = b
		}
		return made[key]
	}
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
		{"a.m4a", "", through("t.m4a", "-c:a aac")}, {"a.M4A", "", through("t.m4a", "-c:a alac")}, {"a.mp4", "", through("t.m4a", "-c:a aac")},
		{"a.m4a", "a raw AAC stream", through("t.aac", "-c:a aac")}, {"a.m4a", "an Ogg file", through("t.ogg", "-c:a libvorbis")},
		{"a.m4a", "a WAV file", wav}, {"a.m4a", "a FLAC file", flac}, {"a.m4a", "an AIFF file", aiff},
		{"a.aac", "", through("t.aac", "-c:a aac")}, {"a.aac", "", through("t.m4a", "-c:a aac")},
		{"a.mp3", "an M4A file", through("t.m4a", "-c:a aac")}, {"a.wav", "an M4A file", through("t.m4a", "-c:a alac")},
		{"a.mp3", "", tag(mp3)}, {"a.mp3", "a WAV file", tag(wav)}, {"a.mp3", "an AIFF file", tag(aiff)}, {"a.mp3", "a FLAC file", tag(flac)},
		{"a.mp3", "a raw AAC stream", tag(through("t.aac", "-c:a aac"))}, {"a.mp3", "an Ogg file", tag(through("t.ogg", "-c:a libvorbis"))},
		{"a.flac", "", tag(flac)}, {"a.aac", "", tag(through("t.aac", "-c:a aac"))},
		{"a.mp3", "an MPEG audio file of layer I or II", through("t.mp2", "-c:a mp2")}, {"a.mp3", "an MPEG audio file of layer I or II", tag(through("t.mp2", "-c:a mp2"))},
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
		for _, f := range s.Faults() {
			if f.Kind != Unsupported {
				t.Errorf("%s with %s in it: %v", c.name, s.Info().Format, f)
			}
		}
		s.Close()
		e := Mismatch(path, s.Info())
		if c.part == "" && e != nil || c.part != "" && (e == nil || e.Kind != Unsupported || e.Trouble != stream.WrongName || !strings.Contains(e.Detail, c.part)) {
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
