package decode

import (
	"bytes"
	"encoding/binary"
	"math"
	"math/rand"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"dubgauge/decode/need"
)

// sampleForm is a form of raw samples that ffmpeg and sox take in, little-endian.
type sampleForm struct {
	name  string // ffmpeg's
	bytes int
	value func(b []byte) float32
}

// The exact value of each form: an integer over 2^(n-1), a float as it is.
var (
	u8  = sampleForm{"u8", 1, func(b []byte) float32 { return (float32(b[0]) - 128) / 128 }}
	s8  = sampleForm{"s8", 1, func(b []byte) float32 { return float32(int8(b[0])) / 128 }}
	s16 = sampleForm{"s16le", 2, func(b []byte) float32 { return float32(int16(binary.LittleEndian.Uint16(b))) / (1 << 15) }}
	s24 = sampleForm{"s24le", 3, func(b []byte) float32 {
		return float32(int32(uint32(b[0])<<8|uint32(b[1])<<16|uint32(b[2])<<24)>>8) / (1 << 23)
	}}
	s32 = sampleForm{"s32le", 4, func(b []byte) float32 { return float32(float64(int32(binary.LittleEndian.Uint32(b))) / (1 << 31)) }}
	f32 = sampleForm{"f32le", 4, func(b []byte) float32 { return math.Float32frombits(binary.LittleEndian.Uint32(b)) }}
	f64 = sampleForm{"f64le", 8, func(b []byte) float32 { return float32(math.Float64frombits(binary.LittleEndian.Uint64(b))) }}
)

// rawSamples are random, in floats up to six times full scale.
func rawSamples(f sampleForm, count int) []byte {
	rng := rand.New(rand.NewSource(7))
	b := make([]byte, count*f.bytes)
	rng.Read(b)
	for i := range count {
		switch f.name {
		case "f32le":
			binary.LittleEndian.PutUint32(b[i*4:], math.Float32bits(float32(rng.NormFloat64()*1.5)))
		case "f64le":
			binary.LittleEndian.PutUint64(b[i*8:], math.Float64bits(rng.NormFloat64()*1.5))
		}
	}
	return b
}

const roundTripFrames = 3001 // odd, so that an odd number of bytes occurs

// TestRoundTripFFmpeg has ffmpeg put samples into each container that it writes;
// they come back bit for bit.
func TestRoundTripFFmpeg(t *testing.T) {
	need.Program(t, "ffmpeg")
	tests := []struct {
		form     sampleForm
		codec    string
		channels int
		file     string
		args     string
	}{
		{u8, "pcm_u8", 2, "t.wav", ""},
		{u8, "pcm_u8", 1, "t.wav", ""},
		{s16, "pcm_s16le", 2, "t.wav", ""},
		{s16, "pcm_s16le", 6, "t.wav", ""},
		{s16, "pcm_s16le", 2, "t.wav", "-rf64 always"},
		{s24, "pcm_s24le", 2, "t.wav", ""},
		{s24, "pcm_s24le", 1, "t.wav", "-rf64 always"},
		{s24, "pcm_s24le", 8, "t.wav", ""},
		{s32, "pcm_s32le", 2, "t.wav", ""},
		{f32, "pcm_f32le", 2, "t.wav", ""},
		{f64, "pcm_f64le", 2, "t.wav", "-write_bext 1 -metadata description=x"},
		{s8, "pcm_s8", 1, "t.aiff", ""},
		{s16, "pcm_s16be", 2, "t.aiff", ""},
		{s16, "pcm_s16le", 2, "t.aiff", ""}, // sowt
		{s24, "pcm_s24be", 2, "t.aiff", "-write_id3v2 1 -metadata title=x"},
		{s24, "pcm_s24be", 6, "t.aiff", ""},
		{s32, "pcm_s32be", 2, "t.aiff", ""},
		{f32, "pcm_f32be", 2, "t.aiff", ""},
		{f64, "pcm_f64be", 2, "t.aiff", ""},
	}
	for _, test := range tests {
		t.Run(test.codec+" "+test.file+" "+test.args, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), test.file)
			raw := rawSamples(test.form, roundTripFrames*test.channels)
			args := []string{"-loglevel", "error", "-f", test.form.name, "-ar", "44100", "-ac", strconv.Itoa(test.channels), "-i", "pipe:0"}
			args = append(append(args, strings.Fields(test.args)...), "-c:a", test.codec, path)
			run(t, raw, "ffmpeg", args...)
			same(t, path, test.form, test.channels, raw)
		})
	}
}

// TestRoundTripPipe reads the WAV that ffmpeg and sox write when they cannot go back
// to fill in the sizes.
func TestRoundTripPipe(t *testing.T) {
	for _, program := range []string{"ffmpeg", "sox"} {
		t.Run(program, func(t *testing.T) {
			need.Program(t, program)
			path := filepath.Join(t.TempDir(), "t.wav")
			raw := rawSamples(s16, roundTripFrames*2)
			args := strings.Fields("-loglevel error -f s16le -ar 44100 -ac 2 -i pipe:0 -f wav pipe:1")
			if program == "sox" {
				args = strings.Fields("-D -t raw -r 44100 -e signed -b 16 -c 2 - -t wav -")
			}
			write(t, path, run(t, raw, program, args...))
			same(t, path, s16, 2, raw)
		})
	}
}

// TestRoundTripSox is the same through sox, whose WAV and AIFF writers are
// independent of ffmpeg's, and for big-endian WAV (RIFX), which ffmpeg does not write.
func TestRoundTripSox(t *testing.T) {
	need.Program(t, "sox")
	tests := []struct {
		form     sampleForm
		in, out  string // encoding of raw and of file, as sox has it
		channels int
		file     string
	}{
		{u8, "-e unsigned -b 8", "-e unsigned -b 8", 2, "t.wav"},
		{s16, "-e signed -b 16", "-e signed -b 16", 2, "t.wav"},
		{s16, "-e signed -b 16", "-e signed -b 16 -B", 2, "t.wav"},
		{s24, "-e signed -b 24", "-e signed -b 24", 2, "t.wav"},
		{s24, "-e signed -b 24", "-e signed -b 24 -B", 1, "t.wav"},
		{s32, "-e signed -b 32", "-e signed -b 32", 2, "t.wav"},
		{s8, "-e signed -b 8", "-e signed -b 8", 2, "t.aiff"},
		{s16, "-e signed -b 16", "-e signed -b 16", 2, "t.aiff"},
		{s24, "-e signed -b 24", "-e signed -b 24", 2, "t.aiff"},
		{s32, "-e signed -b 32", "-e signed -b 32", 2, "t.aiff"},
		{s16, "-e signed -b 16", "-e signed -b 16", 2, "t.aiffc"},
		{s16, "-e signed -b 16", "-b 16", 2, "t.flac"},
		{s24, "-e signed -b 24", "-b 24", 2, "t.flac"},
		{s8, "-e signed -b 8", "-b 8", 1, "t.flac"},
	}
	for _, test := range tests {
		t.Run(test.out+" "+test.file, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), test.file)
			raw := rawSamples(test.form, roundTripFrames*test.channels)
			args := append([]string{"-D", "-t", "raw", "-r", "44100", "-c", strconv.Itoa(test.channels)}, strings.Fields(test.in)...)
			args = append(append(args, "-"), strings.Fields(test.out)...)
			run(t, raw, "sox", append(args, path)...)
			same(t, path, test.form, test.channels, raw)
		})
	}
}

// TestG711 compares A-law and mu-law with ffmpeg's and sox's decoders, all 256 codes.
func TestG711(t *testing.T) {
	codes := make([]byte, 256)
	for i := range codes {
		codes[i] = byte(i)
	}
	soxLaw := map[string]string{"alaw": "a-law", "mulaw": "mu-law"}
	for _, law := range []string{"alaw", "mulaw"} {
		for _, file := range []string{"t.wav", "t.aiff"} {
			t.Run(law+" "+file, func(t *testing.T) {
				need.Program(t, "ffmpeg")
				need.Program(t, "sox")
				path := filepath.Join(t.TempDir(), file)
				run(t, codes, "ffmpeg", "-loglevel", "error", "-f", law, "-ar", "44100", "-ac", "1", "-i", "pipe:0", "-c:a", "pcm_"+law, path)
				raw := run(t, codes, "ffmpeg", "-loglevel", "error", "-f", law, "-ar", "44100", "-ac", "1", "-i", "pipe:0", "-f", "s16le", "pipe:1")
				same(t, path, s16, 1, raw)
				sox := run(t, codes, "sox", "-D", "-t", "raw", "-r", "44100", "-c", "1", "-e", soxLaw[law], "-b", "8", "-",
					"-t", "raw", "-e", "signed", "-b", "16", "-")
				same(t, path, s16, 1, sox)
			})
		}
	}
}

// same holds that the file at path has the samples of raw.
func same(t *testing.T, path string, form sampleForm, channels int, raw []byte) {
	t.Helper()
	info, got, faults := readWhole(t, path)
	if len(faults) > 0 {
		t.Errorf("faults %v", faults)
	}
	frames := len(raw) / form.bytes / channels
	if info.Channels != channels || info.SampleRate != 44100 || len(got[0]) != frames || info.Frames >= 0 && info.Frames != int64(frames) {
		t.Fatalf("%+v, %d frames of %d", info, len(got[0]), frames)
	}
	for i := range frames {
		for c := range channels {
			want := form.value(raw[(i*channels+c)*form.bytes:])
			if got[c][i] != want {
				t.Fatalf("frame %d channel %d is %v, want %v", i, c, got[c][i], want)
			}
		}
	}
}

// run feeds a program and gives what it writes.
func run(tb testing.TB, in []byte, program string, args ...string) []byte {
	tb.Helper()
	cmd := exec.Command(program, args...)
	cmd.Stdin = bytes.NewReader(in)
	var out, stderr bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &stderr
	if err := cmd.Run(); err != nil {
		tb.Fatalf("%s %v: %v\n%s", program, args, err, stderr.Bytes())
	}
	return out.Bytes()
}
