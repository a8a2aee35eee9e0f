package decode

import (
	"bytes"
	"context"
	"encoding/binary"
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"dubgauge/decode/need"
	"dubgauge/decode/stream"
)

// readWhole decodes a file that must open and give no error.
func readWhole(tb testing.TB, path string) (Info, [][]float32, []Error) {
	tb.Helper()
	s, err := OpenWith(context.Background(), path, Options{Verify: true})
	if err != nil {
		tb.Fatal(err)
	}
	defer s.Close()
	got, err := drain(s)
	if err != io.EOF {
		tb.Fatal(err)
	}
	return s.Info(), got, s.Faults()
}

// drain reads s to its end and returns the error that ended it.
func drain(s Stream) ([][]float32, error) {
	out := make([][]float32, s.Info().Channels)
	dst := make([][]float32, len(out))
	for c := range dst {
		dst[c] = make([]float32, 1000)
	}
	for {
		n, err := s.Read(dst)
		for c := range out {
			out[c] = append(out[c], dst[c][:n]...)
		}
		if err != nil {
			return out, err
		}
	}
}

func write(tb testing.TB, path string, b []byte) {
	tb.Helper()
	if err := os.WriteFile(path, b, 0o600); err != nil {
		tb.Fatal(err)
	}
}

// openBytes opens a file that has b as content.
func openBytes(tb testing.TB, b []byte, opts Options) (Stream, error) {
	tb.Helper()
	path := filepath.Join(tb.TempDir(), "t.bin") // the name says nothing
	write(tb, path, b)
	s, err := OpenWith(context.Background(), path, opts)
	if err == nil {
		tb.Cleanup(func() { s.Close() })
	}
	return s, err
}

// lame encodes two seconds of a built signal.
func lame(tb testing.TB, args ...string) []byte {
	need.Program(tb, "lame")
	raw, _ := binary.Append(nil, binary.LittleEndian, sample16(88200, 2))
	return run(tb, raw, "lame", append(append([]string{"--quiet", "-r", "-s", "44.1", "--bitwidth", "16"}, args...), "-", "-")...)
}

// mp3WAV puts an MP3 stream into a WAV file, as some programs of old did.
func mp3WAV(b []byte) []byte {
	head := []byte("RIFF\x00\x00\x00\x00WAVEfmt \x1e\x00\x00\x00\x55\x00\x02\x00\x44\xac\x00\x00\x80\x3e\x00\x00\x01\x00\x00\x00\x0c\x00\x01\x00\x02\x00\x00\x00\xa1\x01\x01\x00\x71\x05data")
	return append(binary.LittleEndian.AppendUint32(head, uint32(len(b))), b...)
}

// TestContent opens files by their content, whatever stands in front of it.
func TestContent(t *testing.T) {
	wav, wavFields := builtWAV()
	aiff, aiffFields := builtAIFF()
	flac, flacFields := builtFLAC(t)
	mp3 := lame(t, "-b", "128", "-t")
	tag := func(b []byte, f []field) []byte { out, _ := behindID3(b, f); return out }
	wrong := func(b []byte, f []field, v uint64) []byte { out, of := behindID3(b, f); of[0].put(out, v); return out }
	const lameFrames = 88200
	tests := []struct {
		name          string
		file          []byte
		format, codec string
		frames        int
		margin        int    // MP3 without a length adds its delay
		fault         string // of the first one, "" for none
	}{
		{"wav", wav, "wav", "pcm_s16", builtFrames, 0, ""},
		{"aiff", aiff, "aiff", "pcm_s16", builtFrames, 0, ""},
		{"flac", flac, "flac", "flac", builtFrames, 0, ""},
		{"mp3", mp3, "mp3", "mp3", lameFrames, 3000, ""},
		{"wav behind ID3v2", tag(wav, wavFields), "wav", "pcm_s16", builtFrames, 0, ""},
		{"aiff behind ID3v2", tag(aiff, aiffFields), "aiff", "pcm_s16", builtFrames, 0, ""},
		{"flac behind ID3v2", tag(flac, flacFields), "flac", "flac", builtFrames, 0, ""},
		{"flac behind two ID3v2", tag(tag(flac, flacFields), nil), "flac", "flac", builtFrames, 0, ""},
		{"mp3 behind two ID3v2", tag(tag(mp3, nil), nil), "mp3", "mp3", lameFrames, 3000, ""},
		{"flac behind ID3v2 of length 0", wrong(flac, flacFields, 0), "flac", "flac", builtFrames, 0, "declares a wrong length"},
		{"wav behind ID3v2 longer than the file", wrong(wav, wavFields, 1<<27), "wav", "pcm_s16", builtFrames, 0, "declares a wrong length"},
		{"mp3 behind junk", append(bytes.Repeat([]byte("junk\xff\xfb"), 300), mp3...), "mp3", "mp3", lameFrames, 3000, "1800 bytes before the first frame"},
		{"mp3 in wav", mp3WAV(mp3), "wav", "mp3", lameFrames, 3000, "MP3 in a WAV file"},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			s, err := openBytes(t, test.file, Options{})
			if err != nil {
				t.Fatal(err)
			}
			got, err := drain(s)
			if err != io.EOF {
				t.Fatal(err)
			}
			if i := s.Info(); i.Format != test.format || i.Codec != test.codec || i.SampleRate != 44100 || i.Channels != 2 {
				t.Errorf("%+v", i)
			}
			if over := len(got[0]) - test.frames; over < 0 || over > test.margin {
				t.Errorf("%d frames, want %d", len(got[0]), test.frames)
			}
			switch f := s.Faults(); {
			case test.fault == "" && len(f) > 0:
				t.Errorf("faults %v", f)
			case test.fault != "" && (len(f) == 0 || !strings.Contains(f[0].Detail, test.fault)):
				t.Errorf("faults %v, want %q", f, test.fault)
			case test.fault != "" && (f[0].Trouble == stream.WrongTag) != strings.Contains(test.fault, "wrong length"):
				t.Errorf("trouble %d: %v", f[0].Trouble, f[0])
			}
		})
	}
}

// TestRefused names what is no music or none that is read.
func TestRefused(t *testing.T) {
	t.Setenv("PATH", "") // no ffmpeg
	pad := string(make([]byte, 5000))
	tests := []struct {
		name, file string
		kind       Kind
		part       string
	}{
		{"empty", "", Damaged, "empty"},
		{"DSF", "DSD \x1c" + pad, Unsupported, "DSD audio (DSF)"},
		{"DSDIFF", "FRM8" + pad, Unsupported, "DSD audio (DSDIFF)"},
		{"MIDI", "MThd\x00\x00\x00\x06" + pad, Unsupported, "MIDI"},
		{"MIDI in RIFF", "RIFF\x00\x00\x00\x00RMIDdata" + pad, Unsupported, "MIDI"},
		{"WavPack", "wvpk" + pad, Unsupported, "WavPack is read through ffmpeg"},
		{"Monkey's Audio", "MAC \x96\x0f" + pad, Unsupported, "Monkey's Audio is read through ffmpeg"},
		{"Musepack 8", "MPCK" + pad, Unsupported, "Musepack"},
		{"Musepack 7", "MP+\x07" + pad, Unsupported, "Musepack"},
		{"TTA", "TTA1" + pad, Unsupported, "True Audio"},
		{"M4A", "\x00\x00\x00\x20ftypM4A " + pad, Unsupported, "M4A (AAC or ALAC) is read through ffmpeg, which is not on the PATH, so that the file was not judged: install ffmpeg"},
		{"Ogg FLAC", "OggS" + pad[:24] + "\x7fFLAC" + pad, Unsupported, "FLAC in Ogg is read through ffmpeg"},
		{"Opus", "OggS" + pad[:24] + "OpusHead" + pad, Unsupported, "Opus is read through ffmpeg"},
		{"AppleDouble", "\x00\x05\x16\x07\x00\x02\x00\x00Mac OS X" + pad, Damaged, "AppleDouble"},
		{"web page", "\n<!DOCTYPE html><html>" + pad, Damaged, "a web page, no music"},
		{"ZIP", "PK\x03\x04" + pad, Unsupported, "ZIP"},
		{"picture", "\xff\xd8\xff\xe0" + pad, Damaged, "a JPEG picture, no music"},
		{"tag and zeros", "ID3\x04\x00\x00\x00\x00\x00\x04abcd" + pad, Damaged, "behind its tag the file goes on with 4096 zero bytes"},
		{"zeros", pad, Damaged, "4096 zero bytes"},
		{"text", strings.Repeat("la la la\n", 1000), Unsupported, "no audio format that is known here"},
		{"tag only", "ID3\x04\x00\x00\x00\x00\x00\x04abcd", Truncated, "ends behind its ID3v2 tag"},
		{"half a tag", "ID3\x04\x00\x00\x00\x00\x7f\x04abcd", Truncated, "ends inside its ID3v2 tag"},
		{"wav cut in its head", "RIFF\x00\x00\x00\x00WAVEfmt ", Truncated, "neither"},
		{"flac cut in its head", "fLaC\x00\x00\x00\x22\x10", Truncated, "inside its header"},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			_, err := openBytes(t, []byte(test.file), Options{})
			var e *Error
			if !errors.As(err, &e) || e.Kind != test.kind || !strings.Contains(e.Detail, test.part) {
				t.Errorf("got %v, want %v: %s", err, test.kind, test.part)
			}
		})
	}
}

// TestThroughFFmpeg opens codings inside WAV, AIFF and MPEG that only ffmpeg reads.
func TestThroughFFmpeg(t *testing.T) {
	need.Program(t, "ffmpeg")
	raw, _ := binary.Append(nil, binary.LittleEndian, sample16(44100, 2))
	tests := []struct{ file, args, format, codec string }{
		{"t.wav", "-c:a adpcm_ms", "wav", "adpcm_ms"},
		{"t.mp2", "-c:a mp2", "mp2", "mp2"},
		{"t.m4a", "-c:a aac", "m4a", "aac"},
	}
	for _, test := range tests {
		path := filepath.Join(t.TempDir(), test.file)
		args := append(strings.Fields("-loglevel error -f s16le -ar 44100 -ac 2 -i pipe:0"), strings.Fields(test.args)...)
		run(t, raw, "ffmpeg", append(args, path)...)
		info, got, faults := readWhole(t, path)
		if info.Format != test.format || info.Codec != test.codec || len(got[0]) < 44100-2000 || len(faults) > 0 {
			t.Errorf("%s: %+v, %d frames, faults %v", test.file, info, len(got[0]), faults)
		}
	}
}

// TestNotRegular holds that nothing is waited for that is no file.
func TestNotRegular(t *testing.T) {
	for _, path := range []string{t.TempDir(), os.DevNull, filepath.Join(t.TempDir(), "none.wav")} {
		_, err := Open(context.Background(), path)
		var e *Error
		if err == nil || errors.As(err, &e) {
			t.Errorf("%s: %v", path, err)
		}
	}
}

// TestOffsets holds that places count from the file's first byte when a tag stands
// in front.
func TestOffsets(t *testing.T) {
	wav, fields := builtWAV()
	plain, err := openBytes(t, wav[:20000], Options{})
	if err != nil {
		t.Fatal(err)
	}
	tagged, _ := behindID3(wav, fields)
	shift := len(tagged) - len(wav)
	behind, err := openBytes(t, tagged[:20000+shift], Options{})
	if err != nil {
		t.Fatal(err)
	}
	a, b := plain.Faults(), behind.Faults()
	if len(a) != 1 || len(b) != 1 || a[0].Offset+int64(shift) != b[0].Offset {
		t.Errorf("%v and %v", a, b)
	}
	flac, flacFields := builtFLAC(t)
	flac[400] ^= 1
	taggedFLAC, _ := behindID3(flac, flacFields)
	s, err := openBytes(t, taggedFLAC, Options{Verify: true})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := drain(s); err != io.EOF || Verified(s) != Matches {
		t.Errorf("%v, MD5 %v", err, Verified(s)) // byte 400 lies in the padding
	}
}
