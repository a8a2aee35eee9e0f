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

	"dubgauge/decode/need"
	"dubgauge/detect/reason"
)

// original is a piece that never saw a lossy codec.
type original struct {
	name  string
	audio [][]float32
}

// originals synthesises the first so many of ten pieces: bright ones up to 20 kHz
// and beyond, dull ones, a saturated one.
func originals(rate, pieces int) []original {
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
	rollOff := func(times int, hz float64) func([]float64) {
		return func(x []float64) {
			for range times {
				onePole(x, hz, fs)
			}
		}
	}
	recipes := []struct {
		name  string
		limit float64
		shape func([]float64)
	}{
		{"bright 0", 22000, none}, {"bright 1", 22000, none}, {"bright 2", 22000, none},
		{"bright 3", 22000, none}, {"bright 4", 22000, none},
		{"partials to 20 kHz, hats roll off", 20000, none},
		{"dull, 6 dB an octave from 4 kHz", 20000, rollOff(1, 4000)},
		{"dull, 12 dB an octave from 3 kHz", 20000, rollOff(2, 3000)},
		{"dark, 24 dB an octave from 8 kHz", 20000, func(x []float64) {
			for range 2 {
				p := newLowPass(8000, fs)
				for i, v := range x {
					x[i] = p.next(v)
				}
			}
		}},
		{"driven into saturation", 20000, func(x []float64) {
			for i, v := range x {
				x[i] = 0.9 * math.Tanh(4*v)
			}
		}},
	}
	var out []original
	for i, r := range recipes[:min(pieces, len(recipes))] {
		audio := shaped(uint64(i)+200, r.limit, r.shape)
		out = append(out, original{r.name, quantise(audio, rand.New(rand.NewPCG(uint64(i), 9)))})
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

// tool runs a program and returns what it writes.
func tool(t *testing.T, name string, args ...string) []byte {
	t.Helper()
	cmd := exec.Command(need.Program(t, name), args...)
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

type negative struct {
	name string
	args []string // for sox, behind the output
	rate string   // through this rate and back
}

// negatives are made from originals by steep filters and by resampling; none may be
// called a transcode.
var negatives = []negative{
	{name: "16 kHz, 4 poles", args: []string{"lowpass", "16000", "lowpass", "16000"}},
	{name: "18 kHz, 8 poles", args: []string{"lowpass", "18000", "lowpass", "18000", "lowpass", "18000", "lowpass", "18000"}},
	{name: "16 kHz, linear phase, brick wall", args: []string{"sinc", "-t", "500", "-16000"}},
	{name: "19 kHz, linear phase, brick wall", args: []string{"sinc", "-19000"}},
	{name: "20 kHz, linear phase, brick wall", args: []string{"sinc", "-20000"}},
	{name: "48 to 44.1 kHz", rate: "48000"},
	{name: "32 to 44.1 kHz", rate: "32000"},
}

// transcodeMissed is how many of ten pieces may go unnamed at a constant rate: the
// search wants energy near the encoder's limit, and two of the pieces have none there.
const transcodeMissed = 2

// The table of the README: how many pieces were named a transcode or given a note on
// their band limit, by setting. DUBGAUGE_TRANSCODES=1 runs all settings on ten
// pieces, in some minutes; else two settings and one filter are run on two.
// With DUBGAUGE_CHECKS set too, the recordings of the development set, which are MP3
// of variable rate (lame V2), are decoded and counted.
func TestTranscodes(t *testing.T) {
	settings, filters, pieces := []string{"mp3-128", "mp3-320"}, negatives[2:3], 2
	whole := os.Getenv("DUBGAUGE_TRANSCODES") != ""
	if whole {
		settings = []string{"mp3-96", "mp3-128", "mp3-160", "mp3-192", "mp3-224", "mp3-256", "mp3-320",
			"mp3-V0", "mp3-V1", "mp3-V2", "mp3-V3", "mp3-V4", "aac-128", "aac-256"}
		filters, pieces = negatives, 10
	}
	table := transcodeTable{originals: originals(44100, pieces)}
	dir := t.TempDir()
	for i, p := range table.originals {
		table.paths = append(table.paths, filepath.Join(dir, fmt.Sprintf("%d.wav", i)))
		writeWAV(t, table.paths[i], 44100, p.audio)
	}
	t.Log("| material | pieces | named a transcode | a note on the band limit |")
	t.Log("|---|---|---|---|")
	table.clean(t, filters)
	table.encoded(t, settings)
	if whole {
		t.Run("recordings", recordings)
	}
}

// transcodeTable is the pieces, in memory and as WAV files.
type transcodeTable struct {
	originals []original
	paths     []string
}

// clean counts on material that no lossy codec saw: none may be named.
func (table *transcodeTable) clean(t *testing.T, filters []negative) {
	n := len(table.paths)
	if hits := count(t, "originals", n, func(i int) [][]float32 { return table.originals[i].audio }); hits > 0 {
		t.Errorf("%d originals are named transcodes", hits)
	}
	for _, f := range filters {
		hits := count(t, f.name, n, func(i int) [][]float32 { return filtered(t, table.paths[i], f.args, f.rate) })
		if hits > 0 {
			t.Errorf("%s: %d named transcodes", f.name, hits)
		}
	}
}

// encoded counts on encodes. The search is for lame's constant rates from 128 kbit/s;
// what else it names is counted and not asked for.
func (table *transcodeTable) encoded(t *testing.T, settings []string) {
	n := len(table.paths)
	for _, s := range settings {
		hits := count(t, s, n, func(i int) [][]float32 { return lossy(t, table.paths[i], s) })
		switch s {
		case "mp3-128", "mp3-160", "mp3-192", "mp3-224", "mp3-256", "mp3-320":
			if least := n - transcodeMissed*n/10; hits < least {
				t.Errorf("%s: %d of %d found, want %d", s, hits, n, least)
			}
		}
	}
}

// recordings counts on the development set: real music, encoded once by others.
func recordings(t *testing.T) {
	dir := need.Checks(t)
	files, err := filepath.Glob(filepath.Join(dir, "music", "*.mp3"))
	if err != nil || len(files) == 0 {
		t.Fatalf("no music in %s: %v", dir, err)
	}
	count(t, "development set, MP3 V2", len(files), func(i int) [][]float32 { return readPCM(t, files[i], "-ar", "44100") })
}

// count logs a row of the table and returns how many are named transcodes.
func count(t *testing.T, name string, n int, audio func(i int) [][]float32) (hits int) {
	t.Helper()
	notes := 0
	for i := range n {
		for _, k := range kinds(run(wav(44100, 2), audio(i))) {
			switch k {
			case reason.Transcode:
				hits++
			case reason.BandLimit:
				notes++
			}
		}
	}
	t.Logf("| %s | %d | %d | %d |", name, n, hits, notes)
	return hits
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
