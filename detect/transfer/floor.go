package transfer

import "math"

const (
	// A floor is looked for without the ends of the track, which may fade: this share
	// of it at each end, but no more than so many seconds.
	endShare, endMost = 0.05, 15.0
	// hissParts is the number of equal parts of a track; the floor of hissAgree of them
	// must be the track's, within hissEven dB: a noise that belongs to the arrangement
	// comes and goes with sections and effects.
	hissParts, hissAgree, hissEven = 8, 3, 1.5
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

// floor is the level of steady broadband noise in dBFS, NaN where there is none, and
// the number of the moment where it stands out most.
func (h *hiss) floor() (level float64, at int) {
	none := math.NaN()
	from, to := trimmed(len(h.moments), h.seconds)
	if float64(to-from)*h.seconds < floorLeast {
		return none, 0
	}
	all := make([]float64, 0, to-from)
	for _, m := range h.moments[from:to] {
		all = append(all, float64(m.level))
	}
	agree := 0
	low := make([]float64, 0, hissParts)
	for p := range hissParts {
		a, b := p*len(all)/hissParts, (p+1)*len(all)/hissParts
		low = append(low, share(append([]float64{}, all[a:b]...), 0.02))
	}
	sorted := append([]float64{}, all...)
	bottom, edge := share(sorted, 0.005), share(sorted, 0.05)
	level = share(sorted, 0.02)
	for _, l := range low {
		if math.Abs(l-level) <= hissEven {
			agree++
		}
	}
	var crest []float64
	at = from
	for i, v := range all {
		if v < level+0.3 {
			crest = append(crest, float64(h.moments[from+i].crest))
		}
		if v < float64(h.moments[at].level) {
			at = from + i
		}
	}
	c := middle(crest)
	if level < hissLeast || level > hissLoudest || edge-bottom > hissEdge || agree < hissAgree || c < hissCrestLow || c > hissCrestHigh {
		return none, 0
	}
	return level, at
}
