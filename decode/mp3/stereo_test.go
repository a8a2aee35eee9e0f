package mp3

import (
	"math"
	"testing"
)

// intensityCase is a granule of long blocks at 44.1 or 22.05 kHz whose right channel
// ends in band 4, with the position in the scale factor of band 5 and of band 20.
type intensityCase struct {
	name       string
	version    version
	ms         bool
	position   uint8
	illegal    bool    // as the stage before found it (MPEG-2)
	compress   int     // scalefac_compress of the right channel
	left, rite float64 // wanted gains of what the left channel holds
}

// Gains by position: for MPEG-1 from the formula of clause 2.4.3.4.9.3, ratio = tan(p
// pi/12); for MPEG-2 from 13818-3, clause 2.4.3.2, io = 2^(-1/4) or 2^(-1/2). Where the
// position is illegal the band is left/right, or mid/side if that is on.
func TestIntensityPositions(t *testing.T) {
	tan := func(p float64) float64 { return math.Tan(p * math.Pi / 12) }
	half := math.Sqrt2 / 2
	for _, c := range []intensityCase{
		{"MPEG-1 position 0", mpeg1, false, 0, false, 0, 0, 1},
		{"MPEG-1 position 1", mpeg1, false, 1, false, 0, tan(1) / (1 + tan(1)), 1 / (1 + tan(1))},
		{"MPEG-1 position 3", mpeg1, false, 3, false, 0, 0.5, 0.5},
		{"MPEG-1 position 5", mpeg1, true, 5, false, 0, tan(5) / (1 + tan(5)), 1 / (1 + tan(5))},
		{"MPEG-1 position 6", mpeg1, false, 6, false, 0, 1, 0},
		{"MPEG-1 position 7", mpeg1, false, 7, false, 0, 1, 0},
		{"MPEG-1 position 7, mid/side", mpeg1, true, 7, false, 0, half, half},
		{"MPEG-1 position 9, mid/side", mpeg1, true, 9, false, 0, half, half},
		{"MPEG-2 position 0", mpeg2, false, 0, false, 0, 1, 1},
		{"MPEG-2 position 1", mpeg2, false, 1, false, 0, math.Exp2(-0.25), 1},
		{"MPEG-2 position 4", mpeg2, false, 4, false, 0, 1, math.Exp2(-0.5)},
		{"MPEG-2 position 4, scale 1", mpeg2, false, 4, false, 1, 1, math.Exp2(-1)},
		{"MPEG-2 position 7 of more bits", mpeg2, false, 7, false, 1, math.Exp2(-2), 1},
		{"MPEG-2 position 30", mpeg2, true, 30, false, 0, 1, math.Exp2(-3.75)},
		{"MPEG-2 illegal", mpeg2, false, 7, true, 1, 1, 0},
		{"MPEG-2 illegal, mid/side", mpeg2, true, 31, true, 0, half, half},
	} {
		t.Run(c.name, func(t *testing.T) { checkIntensity(t, &c) })
	}
}

func checkIntensity(t *testing.T, c *intensityCase) {
	h := header{version: c.version, layer: layerIII, mode: modeJoint, modeExt: extIntensity}
	if c.ms {
		h.modeExt |= extMidSide
	}
	g := granule{scalefacCompress: c.compress}
	parts := h.layout(&g)
	s := scaleFactors{}
	for _, i := range []int{5, 20} {
		s.value[i] = c.position
		if c.illegal {
			s.illegal |= 1 << i
		}
	}
	var x [2][granuleSamples]float32
	for i := range x[0] {
		x[0][i] = 1
	}
	x[1][parts[4].start] = 0.25
	var d stereo
	d.decode(&h, &x, [2]int{granuleSamples, int(parts[4].start) + 1}, &g, &s, parts)
	for _, i := range []int{5, 20, 21} { // band 21 takes the position of 20
		at := parts[i].start + 1
		if l, r := float64(x[0][at]), float64(x[1][at]); math.Abs(l-c.left) > 1e-6 || math.Abs(r-c.rite) > 1e-6 {
			t.Errorf("band %d: gains %.6f and %.6f, want %.6f and %.6f", i, l, r, c.left, c.rite)
		}
	}
	// Below the bound nothing is intensity coded.
	if c.ms {
		want := (1 + 0.25) * math.Sqrt2 / 2
		if got := float64(x[0][parts[4].start]); math.Abs(got-want) > 1e-6 {
			t.Errorf("below the bound: %v, want %v", got, want)
		}
	} else if x[1][parts[4].start] != 0.25 || x[1][parts[3].start] != 0 {
		t.Error("the right channel has changed below the bound")
	}
}

// In MPEG-2 an all-ones scale factor is the illegal position, at the length that its
// class gives it, but not at length 0 (13818-3, clause 2.4.3.2).
func TestIllegalPositionsMPEG2(t *testing.T) {
	for _, c := range []struct {
		compress int
		lengths  [4]int
	}{
		{2 * (36*4 + 6*5 + 3), [4]int{4, 5, 3, 0}},
		{2 * (180 + 16*3 + 4*1 + 2), [4]int{3, 1, 2, 0}},
		{2 * (244 + 3*2 + 1), [4]int{2, 1, 0, 0}},
	} {
		if got, _ := lsfLengths(c.compress, true); got != c.lengths {
			t.Fatalf("scalefac_compress %d: lengths %v, want %v", c.compress, got, c.lengths)
		}
		ones := make([]byte, 64)
		for i := range ones {
			ones[i] = 0xFF
		}
		r := bitReader{buf: ones, end: 8 * 40}
		var s scaleFactors
		s.readMPEG2(&r, &granule{scalefacCompress: c.compress}, true)
		_, class := lsfLengths(c.compress, true)
		i := 0
		for j, n := range lsfCounts[class][0] {
			for range n {
				if got, want := s.illegal>>i&1 == 1, c.lengths[j] > 0; got != want {
					t.Errorf("scalefac_compress %d: scale factor %d illegal %v, want %v", c.compress, i, got, want)
				}
				i++
			}
		}
	}
}
