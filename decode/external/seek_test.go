package external

import (
	"context"
	"encoding/binary"
	"io"
	"math"
	"math/rand/v2"
	"path/filepath"
	"slices"
	"testing"

	"dubgauge/decode/stream"
)

// settled is how far what is read from a place may lie from what reading from the start gives
// there. Decoders sum in single precision, in another order behind another start; CELT (Opus)
// forgets its past by and by, RFC 6716 section 4.3.
var settled = map[string]float64{"a.m4a": 1e-5, "b.m4a": 0, "a.ogg": 1e-5, "a.opus": 2e-3, "a.w64": 0, "a.wv": 0, "a.aac": 0}

// What is read from a place is what comes there when all is read, to the sample: noise agrees
// with itself at no other lag.
func TestSeek(t *testing.T) {
	const rate, seconds = 44100, 7
	saved := seekLeast
	seekLeast = 3
	defer func() { seekLeast = saved }()
	r := rand.New(rand.NewPCG(3, 3))
	raw := make([]byte, 0, rate*seconds*8)
	for range rate * seconds * 2 {
		raw = binary.LittleEndian.AppendUint32(raw, math.Float32bits(float32(0.1*r.NormFloat64())))
	}
	for name, args := range map[string][]string{
		"a.m4a": {"-c:a", "aac", "-b:a", "256k"}, "b.m4a": {"-c:a", "alac"}, "a.ogg": {"-c:a", "libvorbis", "-q:a", "6"},
		"a.opus": {"-c:a", "libopus", "-b:a", "192k"}, "a.w64": {"-c:a", "pcm_s16le"}, "a.wv": {"-c:a", "wavpack"}, "a.aac": {"-c:a", "aac", "-f", "adts"},
	} {
		t.Run(name, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), name)
			encode(t, raw, path, args...)
			s, err := open(context.Background(), path)
			if err != nil {
				t.Fatal(err)
			}
			defer s.Close()
			whole, err := readAll(s)
			if err != io.EOF {
				t.Fatal(err)
			}
			n := int64(len(whole))
			for _, p := range []int64{n / 2, 100, n - 2000, 5*int64(s.Info().SampleRate) + 7, n + 10} {
				if err := s.(stream.Seeker).SeekTo(p); err != nil {
					t.Fatal(err)
				}
				got, err := readAll(s)
				if err != io.EOF {
					t.Fatal(err)
				}
				begun := slices.Contains(s.(*reader).cmd.Args, "-ss")
				if far := p > 3*int64(s.Info().SampleRate); begun != (far && name != "a.aac") {
					t.Errorf("from %d: ffmpeg began there: %v", p, begun)
				}
				want := whole[min(p, n):]
				if len(got) != len(want) {
					t.Fatalf("from %d of %d: %d values, want %d", p, n, len(got), len(want))
				}
				worst := 0.0
				for i := range got {
					worst = math.Max(worst, math.Abs(float64(got[i]-want[i])))
				}
				if worst > settled[name] {
					t.Errorf("from %d: off by %g", p, worst)
				}
			}
		})
	}
}
