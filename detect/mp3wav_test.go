package detect_test

import (
	"bytes"
	"context"
	"encoding/binary"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"dubgauge/decode"
	"dubgauge/decode/need"
	"dubgauge/detect"
)

// How closely two files of one track must agree, in what a set is prepared by.
const (
	sameBPM  = 0.02
	sameBeat = 0.002 // seconds, under what is heard as a flam
)

// pattern is a bar of sixteenths for each sound, and a tonic.
type pattern struct {
	name             string
	bpm, tonic       float64 // the tonic's lowest octave in hertz
	kick, snare, hat string
	chord            string
}

// Plain forms of drum tuition; common practice, no source.
var patterns = []pattern{
	{"four on the floor", 124.6, 55, "x...x...x...x...", "....x.......x...", "..x...x...x...x.", "x.....x...x....."},
	{"broken beat", 131.3, 49, "x..x......x.....", "....x.......x...", "x.x.x.x.x.x.x.x.", "..x..x....x..x.."},
	{"drum and bass", 173.7, 43.65, "x.........x.....", "....x.......x...", "x.x.x.x.x.x.x.x.", "x.......x......."},
	{"no drums", 118.2, 65.41, "", "", "", "x.xxx.xxx.xxx.xx"},
}

const patternRate = 44100

// render plays 30 s of p: a minor key, four bars on i, iv, v and i.
func (p pattern) render() []int16 {
	n := 30 * patternRate
	left, right := make([]float64, n), make([]float64, n)
	rng := rand.New(rand.NewPCG(5, 8))
	start := 0.31 // seconds before the first beat
	for i := 0; ; i++ {
		at := start + float64(i)*15/p.bpm
		if at >= 30 {
			break
		}
		root := p.tonic * []float64{1, 4. / 3, 1.5, 1}[i/16%4]
		for _, s := range []struct {
			steps   string
			seconds float64
			value   func(t float64) float64
			side    float64 // level in the right channel
		}{
			{p.kick, 0.3, func(t float64) float64 {
				return 0.5 * math.Exp(-t*12) * math.Sin(2*math.Pi*(50*t+3*(1-math.Exp(-t*30))))
			}, 1},
			{p.snare, 0.2, func(t float64) float64 {
				return math.Exp(-t*18) * (0.15*rng.NormFloat64() + 0.2*math.Sin(2*math.Pi*190*t))
			}, 0.8},
			{p.hat, 0.1, func(t float64) float64 { return 0.08 * math.Exp(-t*50) * rng.NormFloat64() }, 0.6},
			{p.chord, 0.4, func(t float64) float64 {
				x := 1.5 * math.Sin(2*math.Pi*root*t)
				for _, third := range []float64{4, 4.757, 5.993} { // equal-tempered minor triad
					for k := 1.0; k <= 4; k++ {
						x += math.Sin(2*math.Pi*root*third*k*t) / k
					}
				}
				return 0.07 * min(1, t/0.003) * math.Exp(-t*8) * x
			}, 1.1},
		} {
			if s.steps == "" || s.steps[i%16] != 'x' {
				continue
			}
			from := int(math.Ceil(at * patternRate))
			for j := from; j < min(n, from+int(s.seconds*patternRate)); j++ {
				v := s.value(float64(j)/patternRate - at)
				left[j] += v
				right[j] += s.side * v
			}
		}
	}
	pcm := make([]int16, 0, 2*n)
	for i := range left {
		pcm = append(pcm, int16(32767*math.Tanh(left[i])), int16(32767*math.Tanh(right[i])))
	}
	return pcm
}

// writeWAV writes 16-bit stereo (RIFF, format tag 1).
func writeWAV(t *testing.T, path string, pcm []int16) {
	t.Helper()
	b := bytes.NewBufferString("RIFF")
	size := uint32(2 * len(pcm))
	for _, v := range []any{
		size + 36, []byte("WAVEfmt "), uint32(16), uint16(1), uint16(2), uint32(patternRate),
		uint32(4 * patternRate), uint16(4), uint16(16), []byte("data"), size, pcm,
	} {
		if err := binary.Write(b, binary.LittleEndian, v); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.WriteFile(path, b.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
}

func analyzeFile(t *testing.T, path string) detect.Measurement {
	t.Helper()
	s, err := decode.Open(context.Background(), path)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	m, err := detect.Analyze(context.Background(), s, 1, nil)
	if err != nil || m.Error != nil {
		t.Fatal(path, err, m.Error)
	}
	return m
}

func keyName(m detect.Measurement) string {
	if m.Key == nil {
		return "none"
	}
	return m.Key.Name
}

// A track and its MP3, by the encoder lame, are mixed at the same place and
// tempo and in the same key.
func TestMP3LikeWAV(t *testing.T) {
	lame := need.Program(t, "lame")
	for i, p := range patterns {
		rates := []int{128, 320}[:1+i%2] // what survives 128 kbit/s does 320, of which two are enough
		t.Run(p.name, func(t *testing.T) {
			dir := t.TempDir()
			wav := filepath.Join(dir, "track.wav")
			writeWAV(t, wav, p.render())
			want := analyzeFile(t, wav)
			if !(math.Abs(float64(want.Tempo.BPM)-p.bpm) <= sameBPM) || !want.Tempo.FirstBeatS.Exists() || want.Key == nil {
				t.Errorf("WAV: %.3f BPM, want %.1f; first beat %.4f s, key %s", want.Tempo.BPM, p.bpm, want.Tempo.FirstBeatS, keyName(want))
			}
			for _, kbps := range rates {
				mp3 := filepath.Join(dir, fmt.Sprintf("%d.mp3", kbps))
				if out, err := exec.Command(lame, "--quiet", "-b", fmt.Sprint(kbps), wav, mp3).CombinedOutput(); err != nil {
					t.Fatalf("lame: %v: %s", err, out)
				}
				got := analyzeFile(t, mp3)
				t.Logf("WAV %.4f BPM, first beat %.5f s, %s; MP3 at %d kbit/s %.4f BPM, %.5f s, %s", want.Tempo.BPM, want.Tempo.FirstBeatS,
					keyName(want), kbps, got.Tempo.BPM, got.Tempo.FirstBeatS, keyName(got))
				if d := float64(got.Tempo.BPM - want.Tempo.BPM); !(math.Abs(d) <= sameBPM) {
					t.Errorf("%d kbit/s: %.4f BPM, WAV %.4f", kbps, got.Tempo.BPM, want.Tempo.BPM)
				}
				if d := float64(got.Tempo.FirstBeatS - want.Tempo.FirstBeatS); !(math.Abs(d) <= sameBeat) {
					t.Errorf("%d kbit/s: first beat at %.5f s, WAV %.5f", kbps, got.Tempo.FirstBeatS, want.Tempo.FirstBeatS)
				}
				if keyName(got) != keyName(want) {
					t.Errorf("%d kbit/s: key %s, WAV %s", kbps, keyName(got), keyName(want))
				}
			}
		})
	}
}
