package detect

import (
	"context"
	"io"
	"math"
	"math/rand/v2"
	"testing"

	"dubgauge/decode"
	"dubgauge/detect/loudness"
	"dubgauge/detect/spectrum"
	"dubgauge/detect/truepeak"
)

// loud is music-like and as loud as club masters are: a kick, a bass line, a
// chord and noise at 124 BPM, driven into a clipper.
func loud(rate int, seconds, drive float64) [][]float32 {
	n := int(seconds * float64(rate))
	left, right := make([]float32, n), make([]float32, n)
	r := rand.New(rand.NewPCG(1, 2))
	beat := 60.0 / 124
	clip := func(v float64) float32 { return float32(max(-0.97, min(0.97, v))) }
	for i := range left {
		t := float64(i) / float64(rate)
		in := math.Mod(t, beat)
		kick := math.Exp(-in*12) * math.Sin(2*math.Pi*(50*in+3*(1-math.Exp(-in*30))))
		bass := 0.4 * math.Sin(2*math.Pi*55*t) * min(1, in*4)
		chord := 0.08 * (math.Sin(2*math.Pi*440*t) + math.Sin(2*math.Pi*523.3*t) + math.Sin(2*math.Pi*659.3*t))
		hat := 0.3 * math.Exp(-math.Mod(t+beat/2, beat)*40)
		left[i] = clip(drive * (kick + bass + chord + hat*r.NormFloat64()))
		right[i] = clip(drive * (kick + bass + chord*0.8 + hat*r.NormFloat64()))
	}
	return [][]float32{left, right}
}

const benchSeconds = 360 // a long club track

var benchTrack = loud(44100, 60, 1.2)

// benchmarkMeter times six minutes of 44.1 kHz stereo.
func benchmarkMeter(b *testing.B, fresh func() (write func([][]float32), end func())) {
	b.ReportAllocs()
	for b.Loop() {
		write, end := fresh()
		writeTrack(write)
		end()
	}
}

func BenchmarkLoudness(b *testing.B) {
	benchmarkMeter(b, func() (func([][]float32), func()) {
		m := loudness.New(44100, []float64{1, 1})
		return m.Write, func() { m.Result() }
	})
}

func BenchmarkTruePeak(b *testing.B) {
	benchmarkMeter(b, func() (func([][]float32), func()) {
		m := truepeak.New(44100, 2)
		return m.Write, func() { m.Result() }
	})
}

func BenchmarkSpectrum(b *testing.B) {
	benchmarkMeter(b, func() (func([][]float32), func()) {
		m := spectrum.New(44100, 2)
		return m.Write, func() { m.Whole() }
	})
}

// loop plays the benchmark's track again and again.
type loop struct {
	fakeStream
	left int
}

func (s *loop) Read(dst [][]float32) (int, error) {
	if s.pos >= len(benchTrack[0]) {
		if s.left--; s.left == 0 {
			return 0, io.EOF
		}
		s.pos = 0
	}
	return s.fakeStream.Read(dst)
}

func BenchmarkAnalyze(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		s := &loop{left: benchSeconds / 60, fakeStream: fakeStream{
			info: decode.Info{SampleRate: 44100, Channels: 2}, samples: benchTrack, err: io.EOF,
		}}
		if _, err := Analyze(context.Background(), s, 1, nil); err != nil {
			b.Fatal(err)
		}
	}
}
