package detect

import (
	"bytes"
	"context"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"os/exec"
	"strconv"
	"strings"
	"testing"

	"dubgauge/decode"
	"dubgauge/decode/need"
	"dubgauge/detect/truepeak"
)

// Agreement asked for with an independent meter.
const (
	integratedLU  = 0.05
	truePeakAbove = 0.3 // dB
	truePeakBelow = 0.1 // dB
)

// The independent meter is ffmpeg's ebur128 filter (its own K-weighting, gates
// and 192 kHz resampler).
func TestAgainstIndependentMeter(t *testing.T) {
	ffmpeg := need.Program(t, "ffmpeg")
	for _, piece := range pieces {
		for _, rate := range []int{44100, 48000, 96000} {
			t.Run(fmt.Sprint(piece.name, "/", rate), func(t *testing.T) {
				t.Parallel()
				left, right := piece.play(rate, 8)
				m, err := Analyze(context.Background(), play(rate, io.EOF, left, right), 1, nil)
				if err != nil || m.Error != nil {
					t.Fatal(err, m.Error)
				}
				integrated, peak := ebur128(t, ffmpeg, rate, left, right)
				t.Logf("integrated %.3f (ffmpeg %.3f), true peak %.3f (%.3f)", m.Loudness.IntegratedLUFS, integrated, m.Peak.TruePeakDBTP, peak)
				if d := float64(m.Loudness.IntegratedLUFS) - integrated; !(math.Abs(d) <= integratedLU) {
					t.Errorf("integrated %.3f, ffmpeg %.3f", m.Loudness.IntegratedLUFS, integrated)
				}
				d := float64(m.Peak.TruePeakDBTP) - peak
				if piece.harsh && d > truePeakAbove {
					d = float64(m.Peak.TruePeakDBTP) - idealPeak(rate, left, right)
				}
				if !(d <= truePeakAbove && d >= -truePeakBelow) {
					t.Errorf("true peak %.3f, ffmpeg %.3f, off by %.3f", m.Peak.TruePeakDBTP, peak, d)
				}
			})
		}
	}
}

// ebur128 runs ffmpeg's meter and reads the values of its last frame, which
// have three decimals; its summary has one. Versions differ in whether the
// peak of a frame is in dB; that of the summary is.
func ebur128(t *testing.T, ffmpeg string, rate int, left, right []float32) (integrated, truePeak float64) {
	t.Helper()
	pcm := new(bytes.Buffer)
	frame := make([]byte, 8)
	for i := range left {
		binary.LittleEndian.PutUint32(frame, math.Float32bits(left[i]))
		binary.LittleEndian.PutUint32(frame[4:], math.Float32bits(right[i]))
		pcm.Write(frame)
	}
	cmd := exec.Command(ffmpeg, "-nostdin", "-hide_banner", "-loglevel", "info",
		"-f", "f32le", "-ar", fmt.Sprint(rate), "-ac", "2", "-i", "pipe:0",
		"-af", "ebur128=peak=true:metadata=1:framelog=verbose,ametadata=print:file=-", "-f", "null", "-")
	cmd.Stdin = pcm
	var stderr bytes.Buffer
	cmd.Stderr = &stderr
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("ffmpeg: %v: %s", err, stderr.String())
	}
	integrated, truePeak = math.NaN(), math.Inf(-1)
	for line := range strings.Lines(string(out)) {
		key, value, _ := strings.Cut(strings.TrimSpace(line), "=")
		v, err := strconv.ParseFloat(value, 64)
		switch {
		case err != nil:
		case key == "lavfi.r128.I":
			integrated = v
		case strings.HasPrefix(key, "lavfi.r128.true_peaks_ch"):
			truePeak = max(truePeak, v)
		}
	}
	_, summary, _ := strings.Cut(stderr.String(), "Peak:")
	rounded, err := strconv.ParseFloat(strings.Fields(summary + " none")[0], 64)
	if err != nil || math.IsNaN(integrated) || math.IsInf(truePeak, 0) {
		t.Fatalf("no figures in what ffmpeg printed: %.300s %s", out, stderr.String())
	}
	const half = 0.1 // half of the summary's last decimal, and of a linear value's third
	for _, dB := range []float64{truePeak, 20 * math.Log10(truePeak)} {
		if math.Abs(dB-rounded) <= half {
			return integrated, dB
		}
	}
	t.Fatalf("ffmpeg's frames say %.3f, its summary %.1f dB", truePeak, rounded)
	return 0, 0
}

// idealPeak is the peak, in dB, that sinc interpolation from 20,000 samples on
// each side gives within a sample of where our meter found its own. It settles
// who is right where clipping or noise reaches up to half the sample rate: the
// independent meter looks at 192 kHz only, and its resampler falls off early.
func idealPeak(rate int, left, right []float32) float64 {
	const reach, points = 20000, 64
	m := truepeak.New(rate, 2)
	m.Write([][]float32{left, right})
	at := m.Result().At * float64(rate)
	peak := 0.0
	for _, x := range [][]float32{left, right} {
		for p := -points; p <= points; p++ {
			t := at + float64(p)/points + 1e-6
			sum := 0.0
			for k := max(0, int(t)-reach); k < min(len(x), int(t)+reach); k++ {
				u := math.Pi * (t - float64(k))
				sum += float64(x[k]) * math.Sin(u) / u
			}
			peak = max(peak, math.Abs(sum))
		}
	}
	return 20 * math.Log10(peak)
}

// piece is music-like material with a known beat. Harsh ones are clipped, or
// nearly all noise, and reach up to half the sample rate.
type piece struct {
	name  string
	harsh bool
	play  func(rate int, seconds float64) (left, right []float32)
}

var pieces = []piece{
	{"house", false, mix(124, -3, kick(0.9, 50), hats(0.25, 0.5), bassLine(0.35, 55), chords(0.1, 220))},
	{"techno, loud", false, mix(132, 6, kick(1, 45), hats(0.2, 0.25), bassLine(0.3, 45))},
	{"drum and bass, loud", false, mix(174, 4, kick(0.8, 60), snare(0.4), hats(0.15, 0.25), bassLine(0.6, 41))},
	{"dubstep, half time", false, mix(70, 2, kick(0.9, 48), snare(0.9), bassLine(0.7, 38))},
	{"sub alone", false, mix(140, -6, bassLine(0.8, 33))},
	{"chords alone", false, mix(120, -4, chords(0.3, 330))},
	{"sparse", false, mix(60, -3, kick(0.9, 52))},
	{"quiet", false, mix(122, -20, kick(0.9, 50), chords(0.2, 220))},
	{"bright", true, mix(128, -2, hats(0.9, 0.25), snare(0.3))},
	{"crushed", true, mix(128, 15, kick(1, 50), hats(0.4, 0.25), bassLine(0.5, 49), chords(0.3, 440))},
	{"breakdown", false, breakdown(mix(126, 0, kick(0.9, 50), hats(0.3, 0.5), bassLine(0.4, 55)))},
	{"wide", false, mix(126, 0, hats(0.5, 0.5), pad(0.4, 180), bassLine(0.3, 50))},
	{"clipped hard", true, clip(mix(128, -3, kick(1, 50), hats(0.4, 0.25), bassLine(0.5, 49), chords(0.3, 440)))},
	{"clipped snare", true, clip(mix(87, -3, kick(0.8, 60), snare(0.8), hats(0.3, 0.25), bassLine(0.6, 41)))},
}

// voice adds itself at time t, in beats of length beat seconds, to both sides.
type voice func(r *noise, t, beat float64) (left, right float64)

// noise is white noise behind four low-passes at 12 kHz: cymbals and snares
// fall off towards the top as all music does. Noise that is white up to half
// the sample rate is where true-peak meters cannot agree, as each cuts off in
// its own way there.
type noise struct {
	*rand.Rand
	share float64
	poles [4]float64
}

func newNoise(seed uint64, rate int) *noise {
	const cutoff = 12000.0
	return &noise{Rand: rand.New(rand.NewPCG(seed, 1)), share: 1 - math.Exp(-2*math.Pi*cutoff/float64(rate))}
}

func (n *noise) next() float64 {
	v := 2 * n.NormFloat64()
	for i := range n.poles {
		n.poles[i] += n.share * (v - n.poles[i])
		v = n.poles[i]
	}
	return v
}

// mix plays voices at a tempo, driven by gain dB into a saturation at 0.97.
func mix(bpm, gainDB float64, voices ...voice) func(rate int, seconds float64) (left, right []float32) {
	return func(rate int, seconds float64) (left, right []float32) {
		r := newNoise(uint64(bpm), rate)
		n := int(seconds * float64(rate))
		left, right = make([]float32, n), make([]float32, n)
		gain, beat := math.Pow(10, gainDB/20), 60/bpm
		for i := range left {
			var l, rr float64
			for _, v := range voices {
				a, b := v(r, float64(i)/float64(rate), beat)
				l, rr = l+a, rr+b
			}
			left[i] = float32(0.97 * math.Tanh(gain*l))
			right[i] = float32(0.97 * math.Tanh(gain*rr))
		}
		return left, right
	}
}

func kick(level, hz float64) voice {
	return func(_ *noise, t, beat float64) (float64, float64) {
		in := math.Mod(t, beat)
		v := level * math.Exp(-in*9) * math.Sin(2*math.Pi*(hz*in+4*(1-math.Exp(-in*35))))
		return v, v
	}
}

func snare(level float64) voice {
	return func(r *noise, t, beat float64) (float64, float64) {
		in := math.Mod(t+beat, 2*beat)
		v := level * math.Exp(-in*18) * (0.4*r.next() + 0.5*math.Sin(2*math.Pi*190*in))
		return v, v * 0.95
	}
}

func hats(level, every float64) voice {
	return func(r *noise, t, beat float64) (float64, float64) {
		in := math.Mod(t+beat*every/2, beat*every)
		e := level * 0.3 * math.Exp(-in*45)
		return e * r.next(), e * r.next()
	}
}

func bassLine(level, hz float64) voice {
	notes := []float64{1, 1, 1.1892, 0.8909}
	return func(_ *noise, t, beat float64) (float64, float64) {
		f := hz * notes[int(t/beat/2)%len(notes)]
		in := math.Mod(t, beat/2)
		v := level * min(1, in*60) * (math.Sin(2*math.Pi*f*t) + 0.2*math.Sin(4*math.Pi*f*t))
		return v, v
	}
}

func chords(level, hz float64) voice {
	return func(_ *noise, t, beat float64) (float64, float64) {
		e := level * math.Exp(-math.Mod(t, 2*beat)*2)
		a, b, c := math.Sin(2*math.Pi*hz*t), math.Sin(2*math.Pi*hz*1.2*t), math.Sin(2*math.Pi*hz*1.5*t)
		return e * (a + b + 0.5*c), e * (a + 0.5*b + c)
	}
}

func pad(level, hz float64) voice {
	return func(_ *noise, t, _ float64) (float64, float64) {
		return level * math.Sin(2*math.Pi*hz*t), level * math.Sin(2*math.Pi*hz*t+2)
	}
}

// clip drives a mix 6 dB into a hard limit.
func clip(p func(int, float64) ([]float32, []float32)) func(int, float64) ([]float32, []float32) {
	return func(rate int, seconds float64) ([]float32, []float32) {
		left, right := p(rate, seconds)
		for _, x := range [][]float32{left, right} {
			for i, v := range x {
				x[i] = max(-0.97, min(0.97, 2*v))
			}
		}
		return left, right
	}
}

// breakdown takes the middle third down by 20 dB.
func breakdown(p func(int, float64) ([]float32, []float32)) func(int, float64) ([]float32, []float32) {
	return func(rate int, seconds float64) ([]float32, []float32) {
		left, right := p(rate, seconds)
		for i := len(left) / 3; i < 2*len(left)/3; i++ {
			left[i] *= 0.1
			right[i] *= 0.1
		}
		return left, right
	}
}

// Cutting a stream into blocks in any way changes nothing in the record.
func TestBlockSizeOfStreamDoesNotMatter(t *testing.T) {
	left, right := pieces[0].play(22050, 4)
	var first string // the record as it is written
	for _, size := range []int{1 << 20, 4096, 1000, 37} {
		s := &pieceStream{fakeStream: *play(22050, io.EOF, left, right), most: size}
		m, err := Analyze(context.Background(), s, 1, nil)
		if err != nil {
			t.Fatal(err)
		}
		record, err := json.Marshal(m)
		if err != nil {
			t.Fatal(err)
		}
		if got := string(record); first == "" {
			first = got
		} else if got != first {
			t.Errorf("blocks of %d: %s, want %s", size, got, first)
		}
	}
}

// pieceStream gives at most so many samples at a time.
type pieceStream struct {
	fakeStream
	most int
}

func (s *pieceStream) Read(dst [][]float32) (int, error) {
	part := make([][]float32, len(dst))
	for c := range dst {
		part[c] = dst[c][:min(len(dst[c]), s.most)]
	}
	return s.fakeStream.Read(part)
}

var _ decode.Stream = (*pieceStream)(nil)
