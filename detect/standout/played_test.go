package standout_test

import (
	"bytes"
	"context"
	"encoding/binary"
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
	"dubgauge/detect"
	"dubgauge/detect/standout"
)

// The standard's own coefficients of the K-weighting hold at this rate.
const rate = 48000

// landsWithin in LU is how near a trimmed track must come to its group's median.
// Rounding the trim to 0.1 dB takes up to 0.05 of it.
const landsWithin = 0.05

// music is 30 s that are equally loud throughout, so that their loudest 30 s and
// their integrated loudness are one figure: a kick, a bass, noise on the offbeat.
func music(seed uint64, level float64) []float32 { return turned(unit(seed), detect.Value(level)) }

// units are the music of each seed at a level of 0.
var units = map[uint64][]float32{}

func unit(seed uint64) []float32 {
	if x, ok := units[seed]; ok {
		return x
	}
	r := rand.New(rand.NewPCG(seed, 1))
	x := make([]float32, 30*rate)
	for i := range x {
		t := float64(i) / rate
		beat := math.Mod(t, 0.5)
		kick := math.Exp(-12*beat) * math.Sin(2*math.Pi*50*beat)
		bass := 0.4 * math.Sin(2*math.Pi*110*t)
		hat := 0.2 * math.Exp(-30*math.Mod(t+0.25, 0.5)) * r.NormFloat64()
		x[i] = float32(kick + bass + hat)
	}
	units[seed] = x
	return x
}

// stream plays channels from memory.
type stream struct {
	channels [][]float32
	at       int
}

func (s *stream) Info() decode.Info {
	return decode.Info{Format: "memory", SampleRate: rate, Channels: len(s.channels)}
}
func (s *stream) Faults() []decode.Error { return nil }
func (s *stream) Close() error           { return nil }
func (s *stream) Read(block [][]float32) (n int, err error) {
	for c := range s.channels {
		n = copy(block[c], s.channels[c][s.at:])
	}
	if s.at += n; n == 0 {
		return 0, io.EOF
	}
	return n, nil
}

func measured(t *testing.T, channels ...[]float32) detect.Measurement {
	t.Helper()
	m, err := detect.Analyze(context.Background(), &stream{channels: channels}, 1, nil)
	if err != nil || m.Error != nil {
		t.Fatal(err, m.Error)
	}
	return m
}

// records are released tracks about a median of -8.37 LUFS, one of them mono: its
// record reads 3.01 LU under what it plays at.
func records() []standout.Track {
	pool := make([]standout.Track, 9)
	for i := range pool {
		m := detect.Empty()
		m.File.Channels = 2
		m.Loudness.Loudest30sLUFS = detect.Value(-8.37 + 0.3*float64(i-4))
		if i == 4 {
			m.File.Channels = 1
			m.Loudness.Loudest30sLUFS -= 3.0103 // 10 log10(2)
		}
		pool[i] = standout.Of(int64(i+1), &m, nil)
		pool[i].Reference = true
	}
	return pool
}

// A trim is what brings a track to its group's level as loudspeakers play it, whoever
// measures it there: ffmpeg's ebur128, and the standard's formulas written down once
// more below. Each track is played by two loudspeakers, a mono file by both alike.
func TestATrimmedTrackPlaysAtTheLevelOfItsGroup(t *testing.T) {
	j := standout.New(records(), standout.Options{})
	meters := map[string]func(*testing.T, []float32, []float32) float64{"BS.1770": bs1770, "ebur128": ebur128}
	for _, c := range []struct {
		name  string
		level float64 // of the music above, dB
		mono  bool
	}{
		{"quiet", -6, false}, {"loud", 11.27, false}, {"far too quiet", -14, false},
		{"mono, quiet", -6, true}, {"mono, loud", 11.27, true},
	} {
		left := music(1, c.level)
		right := left
		channels := [][]float32{left}
		if !c.mono {
			right = music(2, c.level)
			channels = append(channels, right)
		}
		m := measured(t, channels...)
		got := j.Judge(standout.Of(99, &m, nil))
		if math.Abs(float64(got.Reference.LUFS) - -8.37) > 1e-3 {
			t.Fatalf("the median is %v, and is known to be -8.37", got.Reference.LUFS)
		}
		for name, meter := range meters {
			t.Run(c.name+", "+name, func(t *testing.T) {
				plays := meter(t, turned(left, got.Trim.TrimDB), turned(right, got.Trim.TrimDB))
				t.Logf("trim %+.1f dB, plays at %.3f LUFS", got.Trim.TrimDB, plays)
				if d := plays - -8.37; !(math.Abs(d) <= landsWithin) {
					t.Errorf("trimmed by %+.1f dB it plays at %.3f LUFS, %.3f off", got.Trim.TrimDB, plays, d)
				}
			})
		}
	}
}

// A mono file and the same sound in two channels are one thing to play.
func TestAMonoFileIsTrimmedAsItIsPlayed(t *testing.T) {
	x := music(3, -5)
	one, two := measured(t, x), measured(t, x, x)
	if d := two.Loudness.Loudest30sLUFS - one.Loudness.Loudest30sLUFS; math.Abs(float64(d)-3.0103) > 0.001 {
		t.Errorf("the records lie %.4f LU apart; BS.1770 has 3.01 for one channel and two equal ones", d)
	}
	j := standout.New(records(), standout.Options{})
	a, b := j.Judge(standout.Of(99, &one, nil)), j.Judge(standout.Of(99, &two, nil))
	if d := a.MismatchDB - b.MismatchDB; math.Abs(float64(d)) > 0.01 || fmt.Sprint(a.Trim) != fmt.Sprint(b.Trim) {
		t.Errorf("one channel: %v off, trim %+v; two equal ones: %v off, trim %+v", a.MismatchDB, a.Trim, b.MismatchDB, b.Trim)
	}
}

// turned is what a mixer's gain makes of x.
func turned(x []float32, dB detect.Value) []float32 {
	y, gain := make([]float32, len(x)), math.Pow(10, float64(dB)/20)
	for i := range x {
		y[i] = float32(float64(x[i]) * gain)
	}
	return y
}

// bs1770 is the integrated loudness of two channels, straight from the text:
// coefficients of tables 1 and 2 for 48 kHz, blocks of 400 ms every 100 ms, gates at
// -70 LUFS and at -10 LU.
func bs1770(_ *testing.T, left, right []float32) float64 {
	power := make([]float64, len(left)/4800) // of each 100 ms
	for _, x := range [][]float32{left, right} {
		y := biquad(x, 1.53512485958697, -2.69169618940638, 1.19839281085285, -1.69065929318241, 0.73248077421585)
		y = biquad(y, 1, -2, 1, -1.99004745483398, 0.99007225036621)
		for i := range power {
			for _, v := range y[i*4800 : (i+1)*4800] {
				power[i] += v * v / 19200 // samples of a block
			}
		}
	}
	loudness := func(p float64) float64 { return -0.691 + 10*math.Log10(p) }
	mean := func(gate float64) float64 {
		sum, n := 0.0, 0.0
		for i := 3; i < len(power); i++ {
			if p := power[i-3] + power[i-2] + power[i-1] + power[i]; loudness(p) > gate {
				sum, n = sum+p, n+1
			}
		}
		return loudness(sum / n)
	}
	return mean(mean(-70) - 10)
}

func biquad[F float32 | float64](x []F, b0, b1, b2, a1, a2 float64) []float64 {
	y := make([]float64, len(x))
	var x1, x2, y1, y2 float64
	for i, v := range x {
		v := float64(v)
		y[i] = b0*v + b1*x1 + b2*x2 - a1*y1 - a2*y2
		x2, x1, y2, y1 = x1, v, y1, y[i]
	}
	return y
}

// ebur128 is the integrated loudness by ffmpeg's meter, from the last of its frames.
func ebur128(t *testing.T, left, right []float32) float64 {
	ffmpeg := need.Program(t, "ffmpeg")
	pcm := make([]byte, 0, 8*len(left))
	for i := range left {
		pcm = binary.LittleEndian.AppendUint32(pcm, math.Float32bits(left[i]))
		pcm = binary.LittleEndian.AppendUint32(pcm, math.Float32bits(right[i]))
	}
	cmd := exec.Command(ffmpeg, "-nostdin", "-v", "error", "-f", "f32le", "-ar", fmt.Sprint(rate), "-ac", "2", "-i", "pipe:0",
		"-af", "ebur128=metadata=1:framelog=verbose,ametadata=print:key=lavfi.r128.I:file=-", "-f", "null", "-")
	cmd.Stdin = bytes.NewReader(pcm)
	out, err := cmd.Output()
	_, last, found := strings.Cut(string(out[max(0, strings.LastIndex(string(out), "lavfi.r128.I")):]), "=")
	v, bad := strconv.ParseFloat(strings.TrimSpace(last), 64)
	if err != nil || !found || bad != nil {
		t.Fatalf("ffmpeg: %v, %v: %.300s", err, bad, out)
	}
	return v
}
