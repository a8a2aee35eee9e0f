package external

import (
	"bytes"
	"context"
	"encoding/binary"
	"errors"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"

	"dubgauge/decode/need"
	"dubgauge/decode/stream"
)

const (
	toneRate    = 44100
	toneSeconds = 2
	toneLevel   = 0.5
	toneHertz   = 441
)

// tone is a stereo sine as raw floats.
func tone() []byte {
	var b []byte
	for i := range toneRate * toneSeconds {
		v := math.Float32bits(float32(toneLevel * math.Sin(2*math.Pi*toneHertz*float64(i)/toneRate)))
		b = binary.LittleEndian.AppendUint32(b, v)
		b = binary.LittleEndian.AppendUint32(b, v)
	}
	return b
}

// encode writes raw floats to a file through ffmpeg.
func encode(tb testing.TB, raw []byte, path string, args ...string) {
	tb.Helper()
	need.Program(tb, "ffmpeg")
	args = append([]string{"-loglevel", "error", "-f", "f32le", "-ar", "44100", "-ac", "2", "-i", "pipe:0"}, args...)
	cmd := exec.Command("ffmpeg", append(args, "file:"+path)...)
	cmd.Stdin = bytes.NewReader(raw)
	if out, err := cmd.CombinedOutput(); err != nil {
		tb.Fatalf("ffmpeg: %v\n%s", err, out)
	}
}

func open(ctx context.Context, path string) (stream.Stream, error) {
	b, err := os.ReadFile(path)
	if err != nil {
		return nil, err
	}
	c, ok := Sniff(b)
	if !ok {
		return nil, errors.New("not recognised")
	}
	return Open(ctx, path, int64(len(b)), c)
}

// readAll returns the first channel and the error that ended the stream.
func readAll(s stream.Stream) (out []float32, err error) {
	dst := make([][]float32, s.Info().Channels)
	for c := range dst {
		dst[c] = make([]float32, 4096)
	}
	for {
		n, err := s.Read(dst)
		out = append(out, dst[0][:n]...)
		if err != nil {
			return out, err
		}
	}
}

// TestFormats decodes what ffmpeg encoded. A lossy codec keeps a steady tone's RMS
// within a fraction of a decibel and the length within its delay.
func TestFormats(t *testing.T) {
	raw := tone()
	tests := []struct {
		file                string
		args                []string
		format, codec       string
		rate, depth         int
		toleranceDB, margin float64 // of the RMS level; seconds of length
	}{
		{"a.m4a", []string{"-c:a", "aac"}, "m4a", "aac", 44100, 0, 0.1, 0.05},
		{"b.m4a", []string{"-c:a", "alac", "-sample_fmt", "s16p"}, "m4a", "alac", 44100, 16, 0.001, 0},
		{"c.m4a", []string{"-c:a", "alac", "-sample_fmt", "s32p"}, "m4a", "alac", 44100, 24, 0.001, 0},
		{"d.aac", []string{"-c:a", "aac", "-f", "adts"}, "aac", "aac", 44100, 0, 0.1, 0.1},
		{"e.ogg", []string{"-c:a", "libvorbis"}, "ogg", "vorbis", 44100, 0, 0.1, 0.05},
		{"f.opus", []string{"-c:a", "libopus"}, "opus", "opus", 48000, 0, 0.1, 0.05},
		{"g.wma", []string{"-c:a", "wmav2"}, "wma", "wmav2", 44100, 0, 0.1, 0.1},
		{"h.wv", []string{"-c:a", "wavpack"}, "wavpack", "wavpack", 44100, 0, 0.001, 0},
		{"i.tta", []string{"-c:a", "tta", "-sample_fmt", "s16"}, "tta", "tta", 44100, 16, 0.001, 0},
		{"j.caf", []string{"-c:a", "pcm_s24be"}, "caf", "pcm_s24be", 44100, 0, 0.001, 0},
		{"k.au", []string{"-c:a", "pcm_s16be"}, "au", "pcm_s16be", 44100, 0, 0.001, 0},
		{"l.w64", []string{"-c:a", "pcm_s24le"}, "w64", "pcm_s24le", 44100, 0, 0.001, 0},
		{"m.mka", []string{"-c:a", "flac", "-sample_fmt", "s16"}, "matroska", "flac", 44100, 16, 0.001, 0},
		{"n.oga", []string{"-c:a", "flac", "-sample_fmt", "s16"}, "ogg", "flac", 44100, 16, 0.001, 0},
		{"o.ac3", []string{"-c:a", "ac3"}, "ac3", "ac3", 44100, 0, 0.1, 0.1},
	}
	for _, test := range tests {
		t.Run(test.file, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), test.file)
			encode(t, raw, path, test.args...)
			s, err := open(t.Context(), path)
			if err != nil {
				t.Fatal(err)
			}
			defer s.Close()
			got, err := readAll(s)
			if err != io.EOF || len(s.Faults()) > 0 {
				t.Fatalf("ended with %v, faults %v", err, s.Faults())
			}
			i := s.Info()
			if i.Format != test.format || i.Codec != test.codec || i.SampleRate != test.rate || i.Channels != 2 || i.BitDepth != test.depth || i.Frames != -1 {
				t.Errorf("%+v", i)
			}
			if seconds := float64(len(got)) / float64(i.SampleRate); math.Abs(seconds-toneSeconds) > test.margin {
				t.Errorf("%v s long", seconds)
			}
			if level := rms(got[len(got)/4 : len(got)*3/4]); math.Abs(20*math.Log10(level*math.Sqrt2/toneLevel)) > test.toleranceDB {
				t.Errorf("RMS %v, want %v", level, toneLevel/math.Sqrt2)
			}
		})
	}
}

func rms(x []float32) float64 {
	var sum float64
	for _, v := range x {
		sum += float64(v) * float64(v)
	}
	return math.Sqrt(sum / float64(len(x)))
}

// TestNames puts files under names that could be taken for options, addresses or
// lists.
func TestNames(t *testing.T) {
	need.Program(t, "ffmpeg")
	if runtime.GOOS == "windows" {
		t.Skip("these names are not allowed there")
	}
	dir := t.TempDir()
	t.Chdir(dir)
	encode(t, tone(), filepath.Join(dir, "a.m4a"))
	b, err := os.ReadFile("a.m4a")
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"-y", "concat:a.m4a|a.m4a", "http:", "%d.m4a", "a b'\"$(touch x)`\n.m4a", "é\xff.m4a"} {
		if err := os.WriteFile(name, b, 0o600); err != nil {
			t.Fatal(err)
		}
		s, err := open(t.Context(), name)
		if err != nil {
			t.Errorf("%q: %v", name, err)
			continue
		}
		got, err := readAll(s)
		if err != io.EOF || len(got) < toneRate {
			t.Errorf("%q: %d samples, %v", name, len(got), err)
		}
		s.Close()
	}
}

func TestWithoutFFmpeg(t *testing.T) {
	t.Setenv("PATH", t.TempDir())
	_, err := Open(t.Context(), "a.m4a", 1000, Container{"m4a", "M4A (AAC or ALAC)", "mov"})
	var e *stream.Error
	if !errors.As(err, &e) || e.Kind != stream.Unsupported || !strings.Contains(e.Detail, "ffmpeg.org") {
		t.Errorf("got %v", err)
	}
	if Available() {
		t.Error("found ffmpeg in an empty folder")
	}
}

// TestBroken holds that a file without its index is refused in ffmpeg's words, and
// that a cut Ogg file is decoded as far as it goes.
func TestBroken(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "a.m4a")
	encode(t, tone(), path)
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, b[:len(b)/2], 0o600); err != nil {
		t.Fatal(err)
	}
	_, err = open(t.Context(), path)
	var e *stream.Error
	if !errors.As(err, &e) || e.Kind != stream.Damaged || strings.Contains(err.Error(), dir) || strings.Contains(err.Error(), "0x") {
		t.Errorf("got %v", err)
	}
	if !strings.Contains(err.Error(), "this M4A (AAC or ALAC) file has no index that can be found") || strings.Contains(err.Error(), "moov") {
		t.Errorf("the cause is not named in words that everybody knows: %v", err)
	}
	path = filepath.Join(dir, "b.m4a")
	encode(t, tone(), path, "-movflags", "+faststart")
	if b, err = os.ReadFile(path); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, b[:len(b)/2], 0o600); err != nil {
		t.Fatal(err)
	}
	s, err := open(t.Context(), path)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	got, err := readAll(s)
	if len(got) < toneRate/2 || len(got) > toneRate*3/2 {
		t.Errorf("%d samples of half a file", len(got))
	}
	if faults := s.Faults(); err == io.EOF && (len(faults) == 0 || faults[len(faults)-1].Kind != stream.Truncated) {
		t.Errorf("the missing half is not named: %v", faults)
	}
}

// TestCancel holds that cancelling ends a read and that no process is left over.
func TestCancel(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.m4a")
	encode(t, tone(), path)
	ctx, cancel := context.WithCancel(t.Context())
	s, err := open(ctx, path)
	if err != nil {
		t.Fatal(err)
	}
	cancel()
	if _, err := readAll(s); !errors.Is(err, context.Canceled) {
		t.Errorf("ended with %v", err)
	}
	gone(t, s)
	s.Close()

	if s, err = open(t.Context(), path); err != nil {
		t.Fatal(err)
	}
	s.Close()
	gone(t, s)
	if _, err := s.Read([][]float32{make([]float32, 1), make([]float32, 1)}); err == nil {
		t.Error("a closed stream could be read")
	}
}

// gone holds that ffmpeg has ended and its status was collected.
func gone(t *testing.T, s stream.Stream) {
	t.Helper()
	if s.(*reader).cmd.ProcessState == nil {
		t.Error("the process was not waited for")
	}
}

// TestTimeLimit puts programs under ffmpeg's name that never end: one that never
// answers, one whose child does not, and one that gives samples for ever. Cancelling
// ends the wait for the first two as well.
func TestTimeLimit(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("needs a shell script")
	}
	base, end := waitBase, waitEnd
	waitBase, waitEnd = 300*time.Millisecond, 500*time.Millisecond
	defer func() { waitBase, waitEnd = base, end }()
	// A WAV head as ffmpeg writes it to a pipe (RIFF; fmt of 16 bytes: float, 1 channel,
	// 8000 Hz, 32 bits; data), then zeros.
	const endless = `printf 'RIFF\377\377\377\377WAVEfmt \020\000\000\000\003\000\001\000\100\037\000\000\000\175\000\000\004\000\040\000data\377\377\377\377'; cat /dev/zero`
	for _, c := range []struct{ name, script, want string }{
		{"it never answers", "exec sleep 100", "longer than"},
		{"its child never answers", "sleep 100; true", "longer than"},
		{"it never stops", endless, "did not end"},
	} {
		t.Run(c.name, func(t *testing.T) {
			dir := t.TempDir()
			if err := os.WriteFile(filepath.Join(dir, "ffmpeg"), []byte("#!/bin/sh\n"+c.script+"\n"), 0o700); err != nil {
				t.Fatal(err)
			}
			t.Setenv("PATH", dir+string(os.PathListSeparator)+os.Getenv("PATH"))
			for _, cancelled := range []bool{false, true} {
				ctx, cancel := context.WithCancel(t.Context())
				if cancelled {
					time.AfterFunc(50*time.Millisecond, cancel)
				}
				began := time.Now()
				s, err := Open(ctx, "a.m4a", 1000, Container{"m4a", "M4A", "mov"})
				if err == nil {
					_, err = readAll(s)
					s.Close()
				}
				var e *stream.Error
				if !(errors.As(err, &e) && strings.Contains(e.Detail, c.want)) && !(cancelled && errors.Is(err, context.Canceled)) {
					t.Errorf("cancelled %v: got %v", cancelled, err)
				}
				if took := time.Since(began); took > 20*time.Second {
					t.Errorf("cancelled %v: took %v", cancelled, took)
				}
				cancel()
			}
		})
	}
}
