package transfer

import (
	"math"

	"dubgauge/detect/dsp"
)

const (
	// A floor is looked for without the ends of the track, which may fade: this share
	// of it at each end, but no more than so many seconds.
	endShare, endMost = 0.05, 15.0
	// hissParts is the number of equal parts of a track; the floor of hissAgree of them
	// must be the track's, within hissEven dB: a noise that belongs to the arrangement
	// comes and goes with sections and effects.
	hissParts, hissAgree, hissEven = 8, 3, 1.5
	// hissFloor is the share of the moments that lie under the floor of all or of a part.
	hissFloor = 0.02
	// hissEdge is how far, in dB, the level may rise from the quietest 0.5 % of all
	// moments to the quietest 5 %: steady noise has a floor as sharp as that (0.5 dB
	// alone), decaying tails have none.
	hissEdge = 1.75
	// hissCrestLow and hissCrestHigh bound the highest value of a moment against the
	// root of its mean square. Of 900 normal values it is 3.3 (2.9 to 4 in nine of ten
	// moments); of a tone 1.4, of pulses 6 and more.
	hissCrestLow, hissCrestHigh = 2.6, 4.5
	// hissLeast is the faintest hiss that is named, dBFS: 60 dB under a club master.
	hissLeast = -68.0
	// hissLoudest is the level from which it is taken for an instrument, dBFS: hiss of a
	// cassette without noise reduction lies 50 dB under its full level (common practice).
	hissLoudest = -40.0
	// floorLeast is the least length of a track whose floor is judged, in seconds.
	floorLeast = 20.0
)

// trimmed gives the part of n things of the given length in seconds that is looked at.
func trimmed(n int, seconds float64) (from, to int) {
	end := int(min(endShare*float64(n), endMost/seconds))
	return end, n - end
}

// hissMoments are some of the moments.
type hissMoments struct {
	all  *dsp.Thinned[moment]
	from int
	n    int
}

// at is moment i, from 0.
func (h hissMoments) at(i int) *moment { return h.all.At(h.from + i) }

// floor is the level of steady broadband noise in dBFS, NaN where there is none, and
// the number of the moment where it stands out most. The channels of a record or a tape
// have each a noise of their own: it is looked for in their difference too, where the
// music, most of which is in the middle, leaves more room.
func (h *hiss) floor() (level float64, at int) {
	from, to := trimmed(h.moments.Len(), h.seconds)
	if float64(to-from)*h.seconds < floorLeast {
		return math.NaN(), 0
	}
	moments := hissMoments{h.moments, from, to - from}
	level, at = steadyFloor(moments, func(m *moment) float32 { return m.level })
	if level > hissLoudest { // an instrument of noise, which is in the difference too
		return math.NaN(), 0
	}
	if !(level >= hissLeast) || !noiselike(moments, level) {
		level, at = steadyFloor(moments, func(m *moment) float32 { return m.side })
	}
	if !(level >= hissLeast && level <= hissLoudest) {
		return math.NaN(), 0
	}
	return level, h.moments.Place(from + at)
}

// steadyFloor is that of a level of the moments, NaN where it is not that of steady noise.
func steadyFloor(moments hissMoments, of func(*moment) float32) (level float64, at int) {
	all := make([]float64, moments.n)
	for i := range all {
		all[i] = float64(of(moments.at(i)))
		if all[i] < all[at] {
			at = i
		}
	}
	sorted := append([]float64{}, all...)
	bottom, edge := share(sorted, 0.005), share(sorted, 0.05)
	level = share(sorted, hissFloor)
	agree := 0
	for p := range hissParts {
		a, b := p*len(all)/hissParts, (p+1)*len(all)/hissParts
		if math.Abs(share(all[a:b], hissFloor)-level) <= hissEven {
			agree++
		}
	}
	if edge-bottom > hissEdge || agree < hissAgree {
		return math.NaN(), 0
	}
	return level, at
}

// noiselike tells whether the moments on the floor have the crest of noise.
func noiselike(moments hissMoments, level float64) bool {
	var crest []float64
	for i := range moments.n {
		if m := moments.at(i); float64(m.level) < level+0.3 {
			crest = append(crest, float64(m.crest))
		}
	}
	c := middle(crest)
	return c >= hissCrestLow && c <= hissCrestHigh
}
