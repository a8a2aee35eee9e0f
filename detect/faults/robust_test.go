package faults

import (
	"math"
	"math/rand/v2"
	"testing"

	"dubgauge/decode/stream"
	"dubgauge/detect/reason"
)

// Material that is odd but whole: nothing here may be called broken.
func TestOddButClean(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 8))
	const rate, seconds = 44100, 12
	stereo := func(f func(c, i int) float64) [][]float32 {
		x := [][]float32{make([]float32, seconds*rate), make([]float32, seconds*rate)}
		for c := range x {
			for i := range x[c] {
				x[c][i] = float32(f(c, i))
			}
		}
		return x
	}
	// A kick twice a second with digital silence between, as sparse dub has; the decay
	// runs out before the next.
	kick := func(i int) float64 {
		s := float64(i%(rate/2)) / rate
		if s > 0.4 {
			return 0
		}
		return 0.8 * math.Min(1, s/0.003) * math.Exp(-s/0.05) * math.Min(1, (0.4-s)/0.05) * math.Sin(2*math.Pi*52*s)
	}
	hiss := make([]float64, seconds*rate) // the run-in groove of a record, ticks included
	for i := range hiss {
		hiss[i] = 0.003 * rng.NormFloat64()
	}
	for k := 0; k < len(hiss)-100; k += rate/3 + rng.IntN(rate/3) {
		for j := range 60 {
			hiss[k+j] += 0.2 * math.Exp(-float64(j)/12) * math.Sin(float64(j)*0.6)
		}
	}
	for _, tt := range []struct {
		name  string
		audio [][]float32
	}{
		{"sparse, digital silence between", stereo(func(c, i int) float64 { return kick(i + c*40) })},
		{"run-in of a record, then music", stereo(func(c, i int) float64 {
			v := hiss[i] + 0.001*math.Sin(float64(i*(c+3)))
			if i > 4*rate {
				v += kick(i+c*40) * 0.9
			}
			return v
		})},
		{"mono low end, wide top", stereo(func(c, i int) float64 {
			return kick(i) + 0.1*math.Sin(float64(i)*0.2+float64(c)*1.5) + 0.05*math.Sin(float64(i)*0.31*float64(c+1))
		})},
		{"panned to both sides", stereo(func(c, i int) float64 {
			return 0.4*math.Sin(float64(i)*(0.02+0.011*float64(c))) + 0.01*math.Sin(float64(i)*0.3)
		})},
		{"a gate on every sixteenth", stereo(func(c, i int) float64 {
			if i/5168%2 == 1 {
				return 0
			}
			return 0.4*math.Sin(float64(i)*0.031+float64(c)) + 0.2*math.Sin(float64(i)*0.0712)
		})},
	} {
		t.Run(tt.name, func(t *testing.T) { want(t, run(wav(rate, 2), tt.audio)) })
	}
}

// Any rate, any number of channels, any length; no fault of a place lies outside.
func TestEveryRateAndChannelCount(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 5))
	for _, rate := range []int{8000, 11025, 22050, 32000, 44100, 48000, 96000, 192000} {
		for _, channels := range []int{1, 2, 3, 6, 8} {
			n := 1 + rng.IntN(2*rate)
			x := make([][]float32, channels)
			for c := range x {
				x[c] = make([]float32, n)
				for i := range x[c] {
					x[c][i] = float32(0.2 * rng.NormFloat64())
				}
			}
			r := run(wav(rate, channels), x)
			for _, f := range r.Faults {
				if f.At < 0 || f.At > float64(n)/float64(rate) || f.Kind.Sentence("", f.At) == "" || f.Detail == "" {
					t.Errorf("%d Hz, %d channels: %+v", rate, channels, f)
				}
				if k := f.Kind; k != reason.Format && k != reason.FormatNewer {
					t.Errorf("%d Hz, %d channels, %d samples: noise has %+v", rate, channels, n, f)
				}
			}
		}
	}
}

func TestFormats(t *testing.T) {
	for _, tt := range []struct {
		info stream.Info
		want reason.Kind
	}{
		{stream.Info{Codec: "pcm_s16", BitDepth: 16, SampleRate: 44100, Channels: 2}, ""},
		{stream.Info{Codec: "pcm_s24", BitDepth: 24, SampleRate: 48000, Channels: 2}, ""},
		{stream.Info{Codec: "mp3", SampleRate: 44100, Channels: 2}, ""},
		{stream.Info{Codec: "aac", SampleRate: 44100, Channels: 2}, ""},
		{stream.Info{Codec: "flac", BitDepth: 16, SampleRate: 44100, Channels: 2}, reason.FormatNewer},
		{stream.Info{Codec: "pcm_s24", BitDepth: 24, SampleRate: 96000, Channels: 2}, reason.FormatNewer},
		{stream.Info{Codec: "pcm_f32", BitDepth: 32, SampleRate: 44100, Channels: 2}, reason.Format},
		{stream.Info{Codec: "pcm_s32", BitDepth: 32, SampleRate: 44100, Channels: 2}, reason.Format},
		{stream.Info{Codec: "pcm_u8", BitDepth: 8, SampleRate: 44100, Channels: 2}, reason.Format},
		{stream.Info{Codec: "pcm_s16", BitDepth: 16, SampleRate: 22050, Channels: 2}, reason.Format},
		{stream.Info{Codec: "pcm_s16", BitDepth: 16, SampleRate: 192000, Channels: 2}, reason.Format},
		{stream.Info{Codec: "pcm_s16", BitDepth: 16, SampleRate: 44100, Channels: 6}, reason.Format},
		{stream.Info{Codec: "opus", SampleRate: 48000, Channels: 2}, reason.Format},
	} {
		r := New(tt.info).Result()
		if tt.want == "" && len(r.Faults) != 0 || tt.want != "" && (len(r.Faults) != 1 || r.Faults[0].Kind != tt.want) {
			t.Errorf("%+v: %+v, want %q", tt.info, r.Faults, tt.want)
		}
	}
}

// Writing allocates nothing.
func TestWriteDoesNotAllocate(t *testing.T) {
	m := New(wav(44100, 2))
	block := [][]float32{make([]float32, 4096), make([]float32, 4096)}
	for c := range block {
		for i := range block[c] {
			block[c][i] = float32(math.Sin(float64(i*(c+1)) * 0.05))
		}
	}
	for range 200 {
		m.Write(block)
	}
	if n := testing.AllocsPerRun(200, func() { m.Write(block) }); n > 0 {
		t.Errorf("%g allocations a block", n)
	}
}
