package faults

import (
	"encoding/binary"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
)

// original is a piece that never saw a lossy codec.
type original struct {
	name  string
	audio [][]float32
}

// originals synthesises pieces: bright ones up to 20 kHz and beyond, dull ones, one
// of tones only.
func originals(rate int) []original {
	const seconds = 18
	shaped := func(seed uint64, limit float64, shape func([]float64)) [][]float32 {
		x := music(seed, rate, seconds, limit, 0.9)
		for c := range x {
			y := make([]float64, len(x[c]))
			for i, v := range x[c] {
				y[i] = float64(v)
			}
			shape(y)
			for i, v := range y {
				x[c][i] = float32(v)
			}
		}
		return x
	}
	fs := float64(rate)
	none := func([]float64) {}
	var out []original
	for seed := range uint64(5) {
		out = append(out, original{fmt.Sprintf("bright %d", seed), shaped(seed+200, 22000, none)})
	}
	out = append(out,
		original{"partials to 20 kHz, hats roll off", shaped(206, 20000, none)},
		original{"dull, 6 dB an octave from 4 kHz", shaped(207, 20000, func(x []float64) { onePole(x, 4000, fs) })},
		original{"dull, 12 dB an octave from 3 kHz", shaped(208, 20000, func(x []float64) { onePole(x, 3000, fs); onePole(x, 3000, fs) })},
		original{"dark, 24 dB an octave from 8 kHz", shaped(209, 20000, func(x []float64) {
			for range 2 {
				p := newLowPass(8000, fs)
				for i, v := range x {
					x[i] = p.next(v)
				}
			}
		})},
		original{"driven into saturation", shaped(210, 20000, func(x []float64) {
			for i, v := range x {
				x[i] = 0.9 * math.Tanh(4*v)
			}
		})},
	)
	for i := range out {
		out[i].audio = quantise(out[i].audio, rand.New(rand.NewPCG(uint64(i), 9)))
	}
	return out
}

// writeWAV writes 16-bit PCM.
func writeWAV(t *testing.T, path string, rate int, x [][]float32) {
	t.Helper()
	n := len(x[0]) * len(x) * 2
	b := make([]byte, 0, 44+n)
	b = append(b, "RIFF"...)
	b = binary.LittleEndian.AppendUint32(b, uint32(36+n))
	b = append(b, "WAVEfmt "...)
	b = binary.LittleEndian.AppendUint32(b, 16)
	b = binary.LittleEndian.AppendUint16(b, 1)
	b = binary.LittleEndian.AppendUint16(b, uint16(len(x)))
	b = binary.LittleEndian.AppendUint32(b, uint32(rate))
	b = binary.LittleEndian.AppendUint32(b, uint32(rate*len(x)*2))
	b = binary.LittleEndian.AppendUint16(b, uint16(len(x)*2))
	b = binary.LittleEndian.AppendUint16(b, 16)
	b = append(b, "data"...)
	b = binary.LittleEndian.AppendUint32(b, uint32(n))
	for i := range x[0] {
		for c := range x {
			b = binary.LittleEndian.AppendUint16(b, uint16(int16(math.Round(float64(x[c][i])*32768))))
		}
	}
	if err := os.WriteFile(path, b, 0o600); err != nil {
		t.Fatal(err)
	}
}

// readPCM decodes a file to 16 bit through ffmpeg, as somebody who turns an MP3
// into a WAV does, and returns it with its rate.
func readPCM(t *testing.T, path string, args ...string) [][]float32 {
	t.Helper()
	b := tool(t, "ffmpeg", append(append([]string{"-loglevel", "error", "-i", path}, args...), "-f", "s16le", "-ac", "2", "-")...)
	out := [][]float32{make([]float32, len(b)/4), make([]float32, len(b)/4)}
	for i := range out[0] {
		for c := range out {
			out[c][i] = float32(int16(binary.LittleEndian.Uint16(b[4*i+2*c:]))) / 32768
		}
	}
	return out
}

// tool runs a program; without it the test is skipped, but not in CI.
func tool(t *testing.T, name string, args ...string) []byte {
	t.Helper()
	if _, err := exec.LookPath(name); err != nil {
		if os.Getenv("CI") != "" {
			t.Fatal(err)
		}
		t.Skipf("needs %s on the PATH", name)
	}
	cmd := exec.Command(name, args...)
	b, err := cmd.Output()
	if err != nil {
		t.Fatalf("%s %v: %v", name, args, err)
	}
	return b
}

// lossy encodes a WAV and decodes it again.
func lossy(t *testing.T, wavPath, setting string) [][]float32 {
	t.Helper()
	switch setting[:3] {
	case "mp3":
		out := filepath.Join(t.TempDir(), "x.mp3")
		flag := []string{"-b", setting[4:]}
		if setting[4] == 'V' {
			flag = []string{"-V", setting[5:]}
		}
		tool(t, "lame", append(append([]string{"--quiet"}, flag...), wavPath, out)...)
		return readPCM(t, out, "-ar", "44100")
	default:
		out := filepath.Join(t.TempDir(), "x.m4a")
		tool(t, "ffmpeg", "-loglevel", "error", "-i", wavPath, "-c:a", "aac", "-b:a", setting[4:]+"k", out)
		return readPCM(t, out)
	}
}

// negatives are made from originals by steep filters and by resampling; none may be
// called a transcode.
var negatives = []struct {
	name string
	args []string // for sox, behind the output
	rate string   // through this rate and back
}{
	{name: "16 kHz, 4 poles", args: []string{"lowpass", "16000", "lowpass", "16000"}},
	{name: "18 kHz, 8 poles", args: []string{"lowpass", "18000", "lowpass", "18000", "lowpass", "18000", "lowpass", "18000"}},
	{name: "16 kHz, linear phase, brick wall", args: []string{"sinc", "-t", "500", "-16000"}},
	{name: "19 kHz, linear phase, brick wall", args: []string{"sinc", "-19000"}},
	{name: "20 kHz, linear phase, brick wall", args: []string{"sinc", "-20000"}},
	{name: "48 to 44.1 kHz", rate: "48000"},
	{name: "32 to 44.1 kHz", rate: "32000"},
}

// The table of the README: how many pieces were named a transcode or given a note on
// their band limit, by setting. DUBGAUGE_TRANSCODES=1 runs all settings on all
// pieces, in some minutes; else a few of both are run.
func TestTranscodes(t *testing.T) {
	pieces := originals(44100)
	settings := []string{"mp3-128", "mp3-320", "mp3-V0"}
	filters := negatives[2:3]
	if os.Getenv("DUBGAUGE_TRANSCODES") == "" {
		pieces = pieces[:2]
	} else {
		settings = []string{"mp3-96", "mp3-128", "mp3-160", "mp3-192", "mp3-224", "mp3-256", "mp3-320",
			"mp3-V0", "mp3-V1", "mp3-V2", "mp3-V3", "mp3-V4", "aac-128", "aac-256"}
		filters = negatives
	}
	dir := t.TempDir()
	paths := make([]string, len(pieces))
	for i, p := range pieces {
		paths[i] = filepath.Join(dir, fmt.Sprintf("%d.wav", i))
		writeWAV(t, paths[i], 44100, p.audio)
	}
	count := func(name string, audio func(i int) [][]float32) (hits int) {
		notes := 0
		for i := range pieces {
			for _, k := range kinds(run(wav(44100, 2), audio(i))) {
				switch k {
				case Transcode:
					hits++
				case BandLimit:
					notes++
				}
			}
		}
		t.Logf("| %s | %d of %d | %d |", name, hits, len(pieces), notes)
		return hits
	}
	t.Log("| material | named a transcode | only a note on the band limit |")
	t.Log("|---|---|---|")
	if n := count("originals", func(i int) [][]float32 { return pieces[i].audio }); n > 0 {
		t.Errorf("%d originals are named transcodes", n)
	}
	for _, f := range filters {
		n := count(f.name, func(i int) [][]float32 { return filtered(t, paths[i], f.args, f.rate) })
		if n > 0 {
			t.Errorf("%s: %d named transcodes", f.name, n)
		}
	}
	for _, s := range settings {
		hits := count(s, func(i int) [][]float32 { return lossy(t, paths[i], s) })
		switch s {
		case "mp3-128", "mp3-160", "mp3-192", "mp3-224", "mp3-256", "mp3-320":
			if hits < len(pieces)-2 {
				t.Errorf("%s: only %d of %d found", s, hits, len(pieces))
			}
		}
	}
}

// filtered sends a WAV through sox, 2 dB down so that nothing clips.
func filtered(t *testing.T, path string, args []string, rate string) [][]float32 {
	t.Helper()
	dir := t.TempDir()
	out, middle := filepath.Join(dir, "out.wav"), filepath.Join(dir, "middle.wav")
	if rate == "" {
		tool(t, "sox", append([]string{"-q", "-v", "0.8", path, out}, args...)...)
	} else {
		tool(t, "sox", "-q", "-v", "0.8", path, "-r", rate, middle)
		tool(t, "sox", "-q", middle, "-r", "44100", out)
	}
	return readPCM(t, out)
}
