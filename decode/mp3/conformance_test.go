package mp3

import (
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"
)

// streamStride shares no factor with the 9 rates, 5 modes and 6 kinds of block.
const streamStride = 7

type blockKind func(r *rand.Rand) (blockType uint8, mixed bool)

// Streams of random content, see streamWriter, decoded as all decoders do that follow
// the standard there. They hold what encoders don't produce. The sample outside a full
// run has every mode with every kind of block.
func TestConformanceRandomStreams(t *testing.T) {
	modes := []struct {
		name string
		mode uint8
		ext  []uint8
	}{
		{"mono", modeMono, []uint8{0}},
		{"stereo", 0, []uint8{0}},
		{"mid-side", modeJoint, []uint8{0, extMidSide}},
		{"intensity", modeJoint, []uint8{extIntensity}},
		{"mid-side and intensity", modeJoint, []uint8{0, extMidSide, extIntensity, extMidSide | extIntensity}},
	}
	blocks := []struct {
		name                  string
		long, mixed, anyOrder bool
		kind                  blockKind
	}{
		{"long", true, false, false, longBlock},
		{"short", false, false, false, shortBlock},
		{"mixed", false, true, false, mixedBlock},
		{"all but mixed", true, false, true, func(r *rand.Rand) (uint8, bool) { return uint8(r.IntN(4)), false }},
		{"start and stop over long", true, false, true, func(r *rand.Rand) (uint8, bool) { return blockStart + 2*uint8(r.IntN(2)), true }},
		{"all but mixed, in order", true, false, false, nil},
	}
	n := -1
	for _, v := range []version{mpeg1, mpeg2, mpeg25} {
		for rate := range uint8(3) {
			for _, m := range modes {
				for _, b := range blocks {
					if n++; !inSample(t, n, streamStride) {
						continue
					}
					h := header{version: v, rateIndex: rate, mode: m.mode, layer: layerIII}
					t.Run(fmt.Sprintf("%d %s %s", h.sampleRate(), m.name, b.name), func(t *testing.T) {
						t.Parallel()
						w := streamWriter{r: rand.New(rand.NewPCG(uint64(rate), uint64(v))), h: h, ext: m.ext, kind: b.kind}
						if b.kind == nil {
							w.kind = inOrder()
						}
						path := filepath.Join(t.TempDir(), "random.mp3")
						if err := os.WriteFile(path, w.bytes(40), 0o644); err != nil {
							t.Fatal(err)
						}
						checkFollowers(t, path, w.kindOf(b.long, b.mixed, b.anyOrder).followers(0), 1)
					})
				}
			}
		}
	}
}
