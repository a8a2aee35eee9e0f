package transfer

import (
	"math"

	"dubgauge/detect/dsp"
)

const (
	// hissSeconds is the length of the moments in which the floor is looked for: short
	// enough to fall between two hats.
	hissSeconds = 0.02
	// hissSilent is the level of silence, dB.
	hissSilent = -200
	// hissStretch is how many moments follow each other where a long track is thinned
	// out, some 20 s, and hissStretches how many of them are kept: of a track of up to
	// 43 minutes all.
	hissStretch, hissStretches = 1 << 10, 128
)

// moment is the top end of hissSeconds of the track.
type moment struct {
	level float32 // dB: mean square of the second difference, of the louder channel, less what white noise has
	side  float32 // the same of half the difference of the channels, and 3 dB more
	crest float32 // highest magnitude of the louder channel against the root of its mean square
}

type hiss struct {
	perMoment int     // cells
	samples   float64 // second differences a moment
	cells     int
	energy    [2]float32
	most      [2]float32
	cross     float32
	moments   *dsp.Thinned[moment]
	seconds   float64
}

func newHiss(rate float64, cell int) hiss {
	n := max(1, int(math.Round(hissSeconds*rate/float64(cell))))
	return hiss{perMoment: n, samples: float64(n * cell / 2), seconds: float64(n*cell) / rate,
		moments: dsp.NewThinned[moment](hissStretch, hissStretches)}
}

func (h *hiss) write(left, right []cell) {
	for i := range left {
		h.energy[0] += left[i].energy
		h.energy[1] += right[i].energy
		h.cross += left[i].cross
		h.most[0] = max(h.most[0], left[i].most)
		h.most[1] = max(h.most[1], right[i].most)
		if h.cells++; h.cells == h.perMoment {
			h.moment()
		}
	}
}

func (h *hiss) moment() {
	c := 0
	if h.energy[1] > h.energy[0] {
		c = 1
	}
	m := moment{level: hissSilent, side: hissSilent}
	if e := float64(h.energy[c]) / h.samples; e > 1e-18 {
		m.level = float32(10 * math.Log10(e/pairGain))
		m.crest = float32(math.Sqrt(float64(h.most[c]) / e))
	}
	// Hiss that the channels don't share is as loud here as in each of them.
	if e := (float64(h.energy[0]) + float64(h.energy[1]) - 2*float64(h.cross)) / 2 / h.samples; e > 1e-18 {
		m.side = float32(10 * math.Log10(e/pairGain))
	}
	h.moments.Append(m)
	h.energy, h.most, h.cross, h.cells = [2]float32{}, [2]float32{}, 0, 0
}
