package mp3

import (
	"math"
	"testing"

	"dubgauge/decode/stream"
)

// The requantizer against its formula (clause 2.4.3.4.7), from the lowest exponent that
// side information can ask for to the highest, in all kinds of blocks:
//
//	xr = sign(q) |q|^(4/3) 2^((global_gain - 210 - 8 subblock_gain) / 4) 2^-(m (scalefac + preflag pretab))
func TestRequantizeFormula(t *testing.T) {
	// Table B.6, written down anew.
	pre := [22]int{11: 1, 12: 1, 13: 1, 14: 1, 15: 2, 16: 2, 17: 3, 18: 3, 19: 3, 20: 2}
	var q [granuleSamples]int16
	for i := range q {
		q[i] = int16(i%29-14) * int16(1+i%2*500)
	}
	for _, h := range []header{{version: mpeg1, layer: layerIII}, {version: mpeg2, layer: layerIII}} {
		for _, kind := range []granule{{}, {preflag: true}, {blockType: blockShort, windowSwitching: true}, {blockType: blockShort, windowSwitching: true, mixed: true}} {
			for _, gain := range []int{0, 1, 209, 210, 255} {
				for _, factor := range []uint8{0, 1, 15, 31} {
					for scale := range 2 {
						g := kind
						g.globalGain, g.scalefacScale, g.subblockGain = gain, scale, [3]int{0, 3, 7}
						s := scaleFactors{preflag: g.preflag}
						for i := range s.value {
							s.value[i] = factor
						}
						checkRequantize(t, &h, &g, &s, &q, pre)
					}
				}
			}
		}
	}
}

func checkRequantize(t *testing.T, h *header, g *granule, s *scaleFactors, q *[granuleSamples]int16, pre [22]int) {
	t.Helper()
	const lines = 500
	var x [granuleSamples]float32
	for i := range x {
		x[i] = 9 // what was there before
	}
	energy := requantize(&x, q, lines, g, s, h.layout(g))
	sum := 0.0
	for i, p := range h.layout(g) {
		exponent := float64(g.globalGain-210) / 4
		factor := float64(s.value[i])
		if p.window != longWindow {
			exponent -= 2 * float64(g.subblockGain[p.window])
		} else if g.preflag {
			factor += float64(pre[p.band])
		}
		gain := math.Exp2(exponent - factor*(0.5+0.5*float64(g.scalefacScale)))
		for k := int(p.start); k < int(p.start+p.width); k++ {
			want := 0.0
			if k < lines {
				want = math.Copysign(math.Pow(math.Abs(float64(q[k])), 4.0/3), float64(q[k])) * gain
			}
			sum += want * want
			if math.Abs(float64(x[k])-want) > 1e-6*math.Abs(want) {
				t.Fatalf("version %d, %+v, line %d: %v, want %v", h.version, *g, k, x[k], want)
			}
		}
	}
	if math.Abs(float64(energy)-sum) > 1e-4*sum {
		t.Errorf("%+v: energy %v, want %v", *g, energy, sum)
	}
}

// A frame that is cut short costs that frame alone: the next
// one is found where it begins, not where the head of the one before says.
func TestShortenedFrame(t *testing.T) {
	c := newCleanFile(t, encode(t, wavFile(t, "chords", 2*44100, 44100, 2), "-b", "128", "--nores", "-t"))
	for _, missing := range []int{1, 50, 300} {
		end := c.pieces[20].end
		got, s := ours(t, join(c.data[:end-missing], c.data[end:]))
		kept, sound := c.compare(got, c.skip, c.hit([][2]int{{end - missing, end}, {c.pieces[20].head, c.pieces[20].head + 1}}))
		if kept != sound || len(got[0]) != len(c.x[0]) {
			t.Errorf("%d bytes missing: %d of %d samples kept, %d long, want %d", missing, kept, sound, len(got[0]), len(c.x[0]))
		}
		if f := s.Faults(); len(f) == 0 || f[0].Kind != stream.Damaged {
			t.Errorf("%d bytes missing: %v", missing, f)
		}
	}
}
