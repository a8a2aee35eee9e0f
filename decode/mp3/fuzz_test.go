package mp3

import (
	"bytes"
	"errors"
	"io"
	"math"
	"math/rand/v2"
	"testing"

	"dubgauge/decode/stream"
)

// Any bytes give an error of content or finite samples, no more of them than the
// bytes can stand for, and the decoder comes to an end.
func FuzzOpen(f *testing.F) {
	for _, s := range fuzzSeeds() {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		s, err := Open(io.NewSectionReader(bytes.NewReader(data), 0, int64(len(data))))
		if err != nil {
			var content *stream.Error
			if !errors.As(err, &content) {
				t.Fatalf("an error that is not of the content: %v", err)
			}
			return
		}
		limit := fuzzLimit(len(data), s.Info().SampleRate)
		x := [][]float32{make([]float32, 1000), make([]float32, 1000)}[:s.Info().Channels]
		for total := 0; ; {
			n, err := s.Read(x)
			for ch := range x {
				for i, v := range x[ch][:n] {
					if math.IsNaN(float64(v)) || math.IsInf(float64(v), 0) {
						t.Fatalf("sample %d of channel %d is %v", total+i, ch, v)
					}
				}
			}
			if total += n; total > limit {
				t.Fatalf("%d samples of %d bytes", total, len(data))
			}
			if err != nil {
				if !errors.Is(err, io.EOF) || n != 0 {
					t.Fatalf("%d samples and the error %v", n, err)
				}
				break
			}
			if n == 0 {
				t.Fatal("no samples and no error")
			}
		}
		if n := len(s.Faults()); n > maxFaults {
			t.Fatalf("%d faults", n)
		}
	})
}

// fuzzLimit bounds the samples of n bytes: frames of 24 bytes at least (8 kbit/s
// at 24 kHz) of at most 1152 samples, six times as many if the rate is converted from
// 8 to 48 kHz, and filled gaps.
func fuzzLimit(n, rate int) int {
	return (n/24+2)*1152*6 + (n/24+2)*maxFill*rate
}

// fuzzSeeds are small streams of every version and mode, whole and broken: of arbitrary
// bytes, and of valid frames by the writer, with what programs put around them.
func fuzzSeeds() (seeds [][]byte) {
	for _, h := range []uint32{
		0xFFFB9064, 0xFFFA9044, 0xFFFB90C4, 0xFFF390C4, 0xFFE318C4, 0xFFFB5030, 0xFFFB00C4, 0xFFFD9064, 0xFFFF9064,
	} {
		p, _ := parseHeader(h)
		n := p.frameBytes(200)
		var s []byte
		for k := range 4 {
			fr := make([]byte, n)
			fr[0], fr[1], fr[2], fr[3] = byte(h>>24), byte(h>>16), byte(h>>8), byte(h)
			for i := 4; i < n; i++ {
				fr[i] = byte(i * (k + 3) * 37)
			}
			s = append(s, fr...)
		}
		seeds = append(seeds, s, s[7:], s[:len(s)-9], append([]byte("ID3\x03\x00\x00\x00\x00\x00\x05hello"), s...))
	}
	for i, v := range []version{mpeg1, mpeg2, mpeg25} {
		for _, mode := range []uint8{0, modeJoint, modeMono} {
			h := header{version: v, layer: layerIII, rateIndex: uint8(i), mode: mode}
			for _, kind := range []blockKind{inOrder(), mixedBlock} {
				w := &streamWriter{r: rand.New(rand.NewPCG(uint64(v), uint64(mode))), h: h, ext: []uint8{0, extMidSide, extIntensity, extIntensity | extMidSide}, kind: kind}
				if i == 1 {
					w.free = 300
				}
				w.frame()
				w.frame()
				if mode != modeMono {
					w.h.mode = modeMono // the stream goes on with one channel
				}
				s := w.bytes(2)
				seeds = append(seeds, s, join(vbri(4, len(s)), s), join(s, apeTag(64, true)), join(s, s[:len(s)/2], s))
			}
		}
	}
	return seeds
}
