package main

import (
	"context"
	"fmt"
	"io"
	"math"
	"math/rand/v2"

	"dubgauge/cmd/dubgauge/sound"
	"dubgauge/decode"
	"dubgauge/detect"
	"dubgauge/detect/spectrum"
)

// stream hands audio to detect.Analyze as the decoder of a WAV file would.
type stream struct {
	audio sound.Audio
	bits  int
	at    int
}

func (s *stream) Info() decode.Info {
	return decode.Info{Format: "wav", Codec: fmt.Sprintf("pcm_s%d", s.bits), SampleRate: sound.Rate, Channels: 2,
		BitDepth: s.bits, Frames: int64(s.audio.Len())}
}

func (s *stream) Read(dst [][]float32) (int, error) {
	n := min(len(dst[0]), s.audio.Len()-s.at)
	if n == 0 {
		return 0, io.EOF
	}
	for i := range n {
		dst[0][i], dst[1][i] = float32(s.audio.L[s.at+i]), float32(s.audio.R[s.at+i])
	}
	s.at += n
	return n, nil
}

func (s *stream) Faults() []decode.Error { return nil }
func (s *stream) Close() error           { return nil }

// bitsOf is the depth of a song's file: a third of the songs are 16-bit files,
// dithered, the others 24-bit files.
func bitsOf(s Spec) int {
	if s.Seed%3 == 0 {
		return 16
	}
	return 24
}

// quantise rounds to the steps of a file, with triangular dither at 16 bits.
func quantise(a sound.Audio, bits int, seed uint64) {
	full := math.Exp2(float64(bits - 1))
	r := rand.New(rand.NewPCG(seed, 0))
	a.Both(func(x []float64) {
		for i, v := range x {
			v *= full
			if bits == 16 {
				v += r.Float64() - r.Float64()
			}
			x[i] = math.Max(-full, math.Min(full-1, math.Round(v))) / full
		}
	})
}

// measure makes the record of audio.
func measure(ctx context.Context, s Spec, a sound.Audio, thirds bool) (*Record, error) {
	bits := bitsOf(s)
	m, err := detect.Analyze(ctx, &stream{audio: a, bits: bits}, int64(44+a.Len()*2*bits/8), nil)
	if err != nil {
		return nil, err
	}
	r := &Record{Spec: s, Measurement: m}
	if thirds {
		r.Thirds = thirdsOf(a)
	}
	return r, nil
}

// thirdsOf measures third octaves second by second, rounded to 0.01 dB.
func thirdsOf(a sound.Audio) [][]detect.Value {
	m := spectrum.New(sound.Rate, 2)
	a.Blocks(m.Write)
	seconds := a.Len() / sound.Rate
	out := make([][]detect.Value, seconds)
	for t := range out {
		for _, v := range m.Over(float64(t), float64(t+1)) {
			out[t] = append(out[t], detect.Value(math.Round(v*100)/100))
		}
	}
	return out
}
