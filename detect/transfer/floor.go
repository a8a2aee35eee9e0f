package transfer

import "math"

const (
	// A floor is looked for without the ends of the track, which may fade: this share
	// of it at each end, but no more than so many seconds.
	endShare, endMost = 0.05, 15.0
	// hissParts is the number of equal parts of a track; in some of them its floor must be
	// that of the whole, within hissEven dB: a noise that belongs to the arrangement comes
	// and goes with sections and effects.
	hissParts, hissEven = 8, 1.5
	// hissFloor is the share of the frames that lie under the floor of all or of a part.
	hissFloor = 0.02
	// hissLow, hissMiddle and hissHigh are the shares of the frames between which the level
	// must rise by little: steady noise has a floor as sharp as that, decaying tails have none.
	hissLow, hissMiddle, hissHigh = 0.005, 0.02, 0.03
	// hissUnder is what the floor of noise in a band lies under its mean level, dB, from
	// noise alone.
	hissUnder = 2.0
	// hissLeast is the faintest hiss that is named, dBFS: 60 dB under a club master.
	hissLeast = -68.0
	// hissLoudest is the level from which it is taken for an instrument, dBFS: hiss of a
	// cassette without noise reduction lies 50 dB under its full level (common practice).
	hissLoudest = -40.0
	// hissSome is the level from which all bands must have it, dBFS: what is louder in some of
	// them is dense hats. Of 71 clean masters of another maker three have steady noise of -41 to
	// -45 dBFS in one to four bands.
	hissSome = -46.0
	// floorLeast is the least length of a track whose floor is judged, in seconds.
	floorLeast = 20.0
)

// hissWays are the ways in which bands show steady noise: in many and alike, though the
// music leaves little of it to be heard; in two that are sharper and still more alike; in two
// neighbours of a slope that tape and phono
// stages have; or in one and most of the time. Fitted so that none of 95 clean masters has
// any: of those over hissLeast the sharpest has 2.0 dB up to hissHigh where three parts
// agree, and two neighbours no less than 1.8 dB up to hissMiddle.
var hissWays = [...]struct {
	bands, parts int
	sharp, steep float64 // dB at most from hissLow up to hissMiddle and to hissHigh
	alike        float64 // dB at most from band to band
}{
	{bands: 3, parts: 2, sharp: 1.7, steep: math.Inf(1), alike: 1.2},
	{bands: 2, parts: 2, sharp: 1.2, steep: 2.4, alike: 1},
	{bands: 2, parts: 3, sharp: math.Inf(1), steep: 1.5, alike: 4},
	{bands: 1, parts: 5, sharp: math.Inf(1), steep: 1.5},
}

// trimmed gives the part of n things of the given length in seconds that is looked at.
func trimmed(n int, seconds float64) (from, to int) {
	end := int(min(endShare*float64(n), endMost/seconds))
	return end, n - end
}

// floor is the level of steady broadband noise in dBFS, NaN where there is none, and
// the number of the frame where it stands out most.
func (h *hiss) floor() (level float64, at int) {
	from, to := trimmed(h.frames.Len(), h.seconds)
	if float64(to-from)*h.seconds < floorLeast {
		return math.NaN(), 0
	}
	frames := make([]top, to-from)
	for i := range frames {
		frames[i] = *h.frames.At(from + i)
	}
	var floors []bandFloor
	for b := range h.bands {
		floors = append(floors, floorOf(frames, b))
	}
	var best []float64
	for _, w := range hissWays {
		run := neighbours(floors, w.alike, func(f bandFloor) bool {
			return f.parts >= w.parts && f.sharp <= w.sharp && f.steep <= w.steep && f.level >= hissLeast && f.level <= hissLoudest
		})
		if len(run) >= w.bands && len(run) > len(best) && (len(run) == h.bands || mean(run) <= hissSome) {
			best = run
		}
	}
	if best == nil {
		return math.NaN(), 0
	}
	return mean(best), h.frames.Place(from + quietest(frames))
}

// neighbours are the levels of the longest row of bands that pass and differ by little
// from one to the next.
func neighbours(floors []bandFloor, alike float64, pass func(bandFloor) bool) (longest []float64) {
	var run []float64
	for _, f := range floors {
		if !pass(f) || len(run) > 0 && math.Abs(f.level-run[len(run)-1]) > alike {
			run = nil
		}
		if pass(f) {
			run = append(run, f.level)
		}
		if len(run) > len(longest) {
			longest = run
		}
	}
	return longest
}

func mean(x []float64) float64 {
	sum := 0.0
	for _, v := range x {
		sum += v
	}
	return sum / float64(len(x))
}

// quietest is the place of the frame with the least in the whole of the top end.
func quietest(frames []top) (at int) {
	least := math.Inf(1)
	for i := range frames {
		sum := 0.0
		for _, v := range frames[i] {
			sum += float64(v)
		}
		if sum < least {
			least, at = sum, i
		}
	}
	return at
}

// bandFloor is what the quietest frames of a band have.
type bandFloor struct {
	level        float64 // dB RMS, that of white noise with such a floor
	sharp, steep float64 // dB from hissLow up to hissMiddle and to hissHigh
	parts        int     // in which the floor is that of the track
}

func floorOf(frames []top, band int) bandFloor {
	all := make([]float64, len(frames))
	for i := range frames {
		all[i] = float64(frames[i][band])
	}
	sorted := append([]float64{}, all...)
	low, level := share(sorted, hissLow), share(sorted, hissFloor)
	f := bandFloor{level: level + hissUnder, sharp: share(sorted, hissMiddle) - low, steep: share(sorted, hissHigh) - low}
	for p := range hissParts {
		a, b := p*len(all)/hissParts, (p+1)*len(all)/hissParts
		if math.Abs(share(all[a:b], hissFloor)-level) <= hissEven {
			f.parts++
		}
	}
	return f
}
