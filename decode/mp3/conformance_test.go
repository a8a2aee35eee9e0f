package mp3

import (
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"
)

// byFFmpeg tells whether a stream is to be compared with ffmpeg, as mpg123 does not
// follow the standard there: with intensity stereo in mixed blocks it takes the scale
// factors of MPEG-2 from the wrong place, and misses the all-zero right channel in
// MPEG-1; and in mixed blocks of MPEG-2.5 it ends the first region of big_values at
// band 8 of the long blocks, where encoders, ffmpeg and the published reference
// decoder end it at band 3 of the short ones.
func byFFmpeg(v version, ext []uint8, mixed bool) bool {
	return mixed && (v == mpeg25 || len(ext) > 0 && ext[len(ext)-1]&extIntensity != 0)
}

// streamStride shares no factor with the 9 rates, 5 modes and 5 kinds of block.
const streamStride = 7

type blockKind func(r *rand.Rand) (blockType uint8, mixed bool)

// Streams of random content, see streamWriter, decoded as mpg123 decodes them, or as
// ffmpeg does. They hold what encoders don't produce. The sample outside a full run has
// every mode with every kind of block.
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
		name  string
		mixed bool
		kind  blockKind
	}{
		{"long", false, func(r *rand.Rand) (uint8, bool) { return blockLong, false }},
		{"short", false, func(r *rand.Rand) (uint8, bool) { return blockShort, false }},
		{"mixed", true, func(r *rand.Rand) (uint8, bool) { return blockShort, true }},
		{"all but mixed", false, func(r *rand.Rand) (uint8, bool) { return uint8(r.IntN(4)), false }},
		{"start and stop over long", false, func(r *rand.Rand) (uint8, bool) { return blockStart + 2*uint8(r.IntN(2)), true }},
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
						path := filepath.Join(t.TempDir(), "random.mp3")
						if err := os.WriteFile(path, w.bytes(40), 0o644); err != nil {
							t.Fatal(err)
						}
						if byFFmpeg(v, m.ext, b.mixed) {
							checkAgainst(t, path, ffmpeg)
						} else {
							checkAgainst(t, path, mpg123)
						}
					})
				}
			}
		}
	}
}
