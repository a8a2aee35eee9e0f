package mp3

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"dubgauge/decode/stream"
)

// mpg123Stereo is mpg123 with two channels whatever the frame.
func mpg123Stereo(t testing.TB, path string, channels int) [][]float32 {
	t.Helper()
	return planar(run(t, "mpg123", "-q", "-e", "f32", "--stereo", "-s", path), channels)
}

// clauseFile writes frames of the writer, set up anew for each.
func clauseFile(t *testing.T, w *streamWriter, frames int, each func(i int)) string {
	t.Helper()
	for i := range frames {
		each(i)
		w.frame()
	}
	path := filepath.Join(t.TempDir(), "clause.mp3")
	if err := os.WriteFile(path, w.bytes(0), 0o644); err != nil {
		t.Fatal(err)
	}
	return path
}

// Streams that change between mono and stereo go on with the reservoir, and with each
// channel's filter bank from where it was left (clauses 2.4.2.7 and 2.4.3.4: neither
// names a reset). ffmpeg does the same; it plays mono 3 dB down in two channels.
// mpg123 clears its filter banks, so that it differs in the first granule behind a
// change, and must agree in all others, which hang on the reservoir.
func TestClauseModeSwitches(t *testing.T) {
	for _, v := range []version{mpeg1, mpeg2, mpeg25} {
		for _, every := range []int{2, 5} {
			w := &streamWriter{r: rand.New(rand.NewPCG(3, uint64(v))), h: header{version: v, layer: layerIII}, ext: []uint8{0}, kind: longBlock}
			mono := func(frame int) bool { return frame/every%2 == 1 }
			path := clauseFile(t, w, 41, func(i int) {
				w.h.mode = uint8(b2i(mono(i)) * modeMono)
			})
			t.Run(fmt.Sprintf("version %d every %d", v, every), func(t *testing.T) {
				got, s := ours(t, readFile(t, path))
				if f := s.Faults(); len(f) != 1 || f[0].Kind != stream.Unsupported || !strings.Contains(f[0].Detail, "goes on with 1 channel(s), from 2") {
					t.Errorf("faults %v, want the change named once, as no damage", f)
				}
				samples := w.h.samples()
				loud := ffmpeg(t, path, 2)
				for ch := range loud {
					for i := range loud[ch] {
						if mono(i / samples) {
							loud[ch][i] *= math.Sqrt2
						}
					}
				}
				sameGranules(t, "ffmpeg", got, loud, func(int) bool { return true })
				sameGranules(t, "mpg123", got, mpg123Stereo(t, path, 2), func(sample int) bool {
					frame := sample / samples
					return frame == 0 || mono(frame) == mono(frame-1) || sample%samples >= granuleSamples
				})
			})
		}
	}
}

// sameGranules compares the granules that are asked for, within full accuracy.
func sameGranules(t *testing.T, name string, got, want [][]float32, ask func(sample int) bool) {
	t.Helper()
	if len(got[0]) != len(want[0]) || len(got[0]) == 0 {
		t.Fatalf("%d samples, %s has %d", len(got[0]), name, len(want[0]))
	}
	for at := 0; at < len(got[0]); at += granuleSamples {
		if !ask(at) {
			continue
		}
		for ch := range got {
			_, largest := difference([][]float32{got[ch][at : at+granuleSamples]}, [][]float32{want[ch][at : at+granuleSamples]})
			if largest > fullAccuracyMax {
				t.Fatalf("channel %d, sample %d: off by %.3g from %s", ch, at, largest, name)
			}
		}
	}
}

// All codes of the emphasis, the reserved one among them, leave the samples as they
// are: de-emphasis is no part of a decoder (clause 2.4.2.3). All three decoders agree.
func TestClauseEmphasis(t *testing.T) {
	for emphasis := range uint8(4) {
		w := &streamWriter{r: rand.New(rand.NewPCG(4, 4)), h: header{version: mpeg1, layer: layerIII}, ext: []uint8{0}, kind: inOrder()}
		path := clauseFile(t, w, 20, func(i int) {
			if w.emphasis = emphasis; i%4 == 3 {
				w.emphasis = 0 // it may change from frame to frame
			}
		})
		checkFollowers(t, path, w.kindOf(true, false, false).followers(0), 3)
	}
}

// The right channel reaches into the last band that has a scale factor, so that only
// the one above, which has none, is intensity coded: by the position of the one below,
// in both versions, long blocks and short. mpg123 and ffmpeg agree; at 24 kHz, where
// ffmpeg has a band wrong, mpg123 alone is asked for long blocks. The opposite case is
// the illegal position in the band below, with which the last is left/right:
// TestIntensityPositions has that.
func TestClauseLastIntensityBand(t *testing.T) {
	for _, v := range []version{mpeg1, mpeg2} {
		for rate := range uint8(3) {
			for _, kind := range []blockKind{longBlock, shortBlock} {
				w := &streamWriter{r: rand.New(rand.NewPCG(3, 3)), h: header{version: v, layer: layerIII, rateIndex: rate, mode: modeJoint},
					ext: []uint8{extIntensity, extIntensity | extMidSide}, kind: kind, reach: true}
				path := clauseFile(t, w, 30, func(int) {})
				block, _ := kind(nil)
				wrong := block == blockLong && v == mpeg2 && rate == rate48
				checkFollowers(t, path, w.kindOf(block == blockLong, false, false).followers(0), 2-b2i(wrong))
			}
		}
	}
}

// The extremes of the Huffman codes: every pair of a granule escaped with the most
// linbits, all of a granule in the count1 region, and all of it in big_values. Two
// decoders agree or more; libmad clips what is over full scale within.
func TestClauseHuffmanExtremes(t *testing.T) {
	for _, x := range []extreme{allEscaped, allQuads, allPairs} {
		for _, v := range []version{mpeg1, mpeg2, mpeg25} {
			for _, kind := range []blockKind{longBlock, shortBlock, mixedBlock} {
				w := &streamWriter{r: rand.New(rand.NewPCG(5, uint64(x))), h: header{version: v, layer: layerIII, mode: modeMono}, ext: []uint8{0}, kind: kind, extreme: x}
				path := clauseFile(t, w, 20, func(int) {})
				checkFollowers(t, path, []string{"mpg123", "ffmpeg"}, 2)
			}
		}
	}
}

// Free format, where the header has no bit rate: all frames have one length, but for
// the padding (clause 2.4.2.3). mpg123 and libmad agree; libmad wants whole kbit/s, and
// has room for so much.
func TestClauseFreeFormat(t *testing.T) {
	for _, c := range []struct {
		version version
		kbps    int
	}{{mpeg1, 101}, {mpeg1, 400}, {mpeg2, 101}, {mpeg2, 400}, {mpeg25, 101}, {mpeg25, 200}} {
		h := header{version: c.version, layer: layerIII}
		free := 72 * h.granules() * c.kbps * 1000 / h.sampleRate()
		for _, mode := range []uint8{0, modeMono} {
			h.mode = mode
			w := &streamWriter{r: rand.New(rand.NewPCG(6, uint64(c.kbps))), h: h, ext: []uint8{0}, kind: inOrder(), free: free}
			path := clauseFile(t, w, 30, func(int) {})
			checkFollowers(t, path, w.kindOf(true, false, false).followers(free), 2)
			if _, s := ours(t, readFile(t, path)); math.Abs(float64(s.Info().BitrateKbps-c.kbps)) > 1 {
				t.Errorf("%d kbit/s, want %d", s.Info().BitrateKbps, c.kbps)
			}
		}
	}
}
