package mp3

import (
	"bytes"
	"encoding/binary"
	"errors"
	"io"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"sync"
	"testing"

	"dubgauge/decode/need"
	"dubgauge/decode/stream"
)

// A signal makes n samples of left and right at a rate, within +-1.
type signal func(n, rate int) [2][]float64

// signals are the test material, by name. All are deterministic.
var signals = map[string]signal{
	"castanets": castanets,
	"chords":    chords,
	"sweep":     sweep,
	"noise":     whiteNoise,
	"master":    master,
}

// castanets are bursts of 3 ms out of silence, some left, some right, some in the
// middle: encoders code them in short blocks, and switch mid/side on and off.
func castanets(n, rate int) (x [2][]float64) {
	x = silence(n)
	r := rand.New(rand.NewPCG(11, 1))
	for at := rate / 10; at < n; at += rate/12 + r.IntN(rate/6) {
		side := r.IntN(3)
		for i := range min(rate/20, n-at) {
			v := 0.9 * math.Exp(-float64(i)/(0.003*float64(rate))) * (2*r.Float64() - 1)
			if side != 1 {
				x[0][at+i] += v
			}
			if side != 0 {
				x[1][at+i] += v
			}
		}
	}
	return x
}

// chords are decaying harmonic tones with each voice at its place in the
// stereo picture.
func chords(n, rate int) (x [2][]float64) {
	x = silence(n)
	for at, step := 0, 0; at < n; at, step = at+rate/2, step+1 {
		for v, semitones := range []int{0, 4, 7, 12} {
			f := 110 * math.Exp2(float64(semitones+5*step%12)/12)
			pan := float64(v) / 3
			for i := range min(rate/2, n-at) {
				t := float64(i) / float64(rate)
				s := 0.0
				for h := 1.0; h < 6; h++ {
					s += math.Sin(2*math.Pi*f*h*t) / h
				}
				s *= 0.15 * math.Exp(-3*t)
				x[0][at+i] += s * (1 - pan)
				x[1][at+i] += s * pan
			}
		}
	}
	return x
}

// sweep goes from 20 Hz to half the rate, the right channel in quadrature.
func sweep(n, rate int) (x [2][]float64) {
	x = silence(n)
	ratio := math.Log(float64(rate) / 2 / 20)
	length := float64(n) / float64(rate)
	for i := range n {
		t := float64(i) / float64(rate)
		phase := 2 * math.Pi * 20 * length / ratio * math.Expm1(t/length*ratio)
		x[0][i], x[1][i] = 0.7*math.Sin(phase), 0.7*math.Cos(phase)
	}
	return x
}

func whiteNoise(n, rate int) (x [2][]float64) {
	x = silence(n)
	r := rand.New(rand.NewPCG(12, 1))
	for i := range n {
		m := r.Float64() - 0.5
		x[0][i], x[1][i] = 0.8*m+0.2*(r.Float64()-0.5), 0.8*m+0.2*(r.Float64()-0.5)
	}
	return x
}

// master is all of them with a kick and a bass at 125 BPM, driven hard into a
// limiter that leaves peaks at full scale, as a loud master is.
func master(n, rate int) (x [2][]float64) {
	x = silence(n)
	parts := [3][2][]float64{castanets(n, rate), chords(n, rate), whiteNoise(n, rate)}
	beat := rate * 60 / 125
	for i := range n {
		t := float64(i%beat) / float64(rate)
		kick := math.Sin(2*math.Pi*(50*t+8*(1-math.Exp(-30*t)))) * math.Exp(-6*t)
		bass := 0.5 * math.Sin(2*math.Pi*55*float64(i)/float64(rate))
		for ch := range x {
			v := kick + bass + 0.8*parts[0][ch][i] + 1.2*parts[1][ch][i] + 0.15*parts[2][ch][i]
			x[ch][i] = math.Max(-1, math.Min(1, 1.6*math.Tanh(1.5*v)))
		}
	}
	return x
}

func silence(n int) [2][]float64 {
	return [2][]float64{make([]float64, n), make([]float64, n)}
}

// run runs a program and returns what it writes.
func run(t testing.TB, name string, args ...string) []byte {
	t.Helper()
	var stderr bytes.Buffer
	cmd := exec.Command(need.Program(t, name), args...)
	cmd.Stderr = &stderr
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("%s %v: %v\n%s", name, args, err, stderr.Bytes())
	}
	return out
}

var (
	materialMu sync.Mutex
	materials  = map[string]string{}
	scratchDir string
)

func TestMain(m *testing.M) {
	dir, err := os.MkdirTemp("", "mp3")
	if err != nil {
		panic(err)
	}
	scratchDir = dir
	code := m.Run()
	os.RemoveAll(dir)
	os.Exit(code)
}

// wavFile writes n samples of the named signal as 16-bit WAV, once.
func wavFile(t testing.TB, name string, n, rate, channels int) string {
	t.Helper()
	path := filepath.Join(scratchDir, name+"-"+itoa(n)+"-"+itoa(rate)+"-"+itoa(channels)+".wav")
	materialMu.Lock()
	defer materialMu.Unlock()
	if _, err := os.Stat(path); err == nil {
		return path
	}
	if err := os.WriteFile(path, wavBytes(signals[name](n, rate), rate, channels), 0o644); err != nil {
		t.Fatal(err)
	}
	return path
}

func itoa(n int) string { return string(appendInt(nil, n)) }

func appendInt(b []byte, n int) []byte {
	if n >= 10 {
		b = appendInt(b, n/10)
	}
	return append(b, byte('0'+n%10))
}

// wavBytes makes a 16-bit WAV file; one channel is the mean of both.
func wavBytes(x [2][]float64, rate, channels int) []byte {
	var data []byte
	put := func(v float64) {
		data = binary.LittleEndian.AppendUint16(data, uint16(int16(math.Round(v*32767))))
	}
	for i := range x[0] {
		if channels == 1 {
			put((x[0][i] + x[1][i]) / 2)
			continue
		}
		put(x[0][i])
		put(x[1][i])
	}
	h := []byte("RIFF")
	h = binary.LittleEndian.AppendUint32(h, uint32(36+len(data)))
	h = append(h, "WAVEfmt \x10\x00\x00\x00\x01\x00"...)
	h = binary.LittleEndian.AppendUint16(h, uint16(channels))
	h = binary.LittleEndian.AppendUint32(h, uint32(rate))
	h = binary.LittleEndian.AppendUint32(h, uint32(rate*channels*2))
	h = binary.LittleEndian.AppendUint16(h, uint16(channels*2))
	h = append(h, "\x10\x00data"...)
	h = binary.LittleEndian.AppendUint32(h, uint32(len(data)))
	return append(h, data...)
}

// encode encodes the WAV file with lame and returns the path of the result.
func encode(t testing.TB, wav string, args ...string) string {
	t.Helper()
	need.Program(t, "lame")
	key := wav
	for _, a := range args {
		key += " " + a
	}
	materialMu.Lock()
	defer materialMu.Unlock()
	if p, ok := materials[key]; ok {
		return p
	}
	out := filepath.Join(scratchDir, "e"+itoa(len(materials))+".mp3")
	run(t, "lame", append(append([]string{"--quiet"}, args...), wav, out)...)
	materials[key] = out
	return out
}

// ours decodes a whole file.
func ours(t testing.TB, data []byte) ([][]float32, stream.Stream) {
	t.Helper()
	x, s, err := tryDecode(data)
	if err != nil {
		t.Fatal(err)
	}
	return x, s
}

func tryDecode(data []byte) ([][]float32, stream.Stream, error) {
	s, err := Open(io.NewSectionReader(bytes.NewReader(data), 0, int64(len(data))))
	if err != nil {
		return nil, nil, err
	}
	x := make([][]float32, s.Info().Channels)
	dst := make([][]float32, len(x))
	for ch := range dst {
		dst[ch] = make([]float32, 4096)
	}
	for {
		n, err := s.Read(dst)
		for ch := range x {
			x[ch] = append(x[ch], dst[ch][:n]...)
		}
		if errors.Is(err, io.EOF) {
			return x, s, nil
		}
		if err != nil {
			return x, s, err
		}
	}
}

func readFile(t testing.TB, path string) []byte {
	t.Helper()
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// mpg123 decodes a file to float with mpg123.
func mpg123(t testing.TB, path string, channels int) [][]float32 {
	t.Helper()
	return planar(run(t, "mpg123", "-q", "-e", "f32", "-s", path), channels)
}

// ffmpeg decodes a file to float with ffmpeg.
func ffmpeg(t testing.TB, path string, channels int) [][]float32 {
	t.Helper()
	return planar(run(t, "ffmpeg", "-v", "error", "-i", path, "-f", "f32le", "-c:a", "pcm_f32le", "-"), channels)
}

// planar splits interleaved little-endian float32 bytes.
func planar(b []byte, channels int) [][]float32 {
	x := make([][]float32, channels)
	for i := 0; i+4 <= len(b); i += 4 {
		v := math.Float32frombits(binary.LittleEndian.Uint32(b[i:]))
		x[i/4%channels] = append(x[i/4%channels], v)
	}
	return x
}
