package loudness

import (
	"math"
	"slices"
)

// Gates and percentiles.
const (
	absoluteGateLUFS = -70.0 // BS.1770-5 annex 1, Tech 3342 3.1
	relativeGateLU   = -10.0 // BS.1770-5 annex 1
	rangeGateLU      = -20.0 // Tech 3342 3.1
	rangeLow         = 0.10  // Tech 3342 3.1
	rangeHigh        = 0.95  // Tech 3342 3.1

	blockHops   = 4   // 400 ms
	rangeHops   = 30  // 3 s
	loudHops    = 300 // 30 s, about 16 bars at 128 BPM
	timelineMax = 240 // most steps of a timeline
)

// Result is what was measured of a track. What does not exist is NaN.
type Result struct {
	Integrated   float64 // LUFS
	MomentaryMax float64 // LUFS
	ShortTermMax float64 // LUFS; NaN for less than 3 s of audio
	Range        float64 // LU; NaN for less than 3 s of audio

	// Loudest30 is the BS.1770 loudness, without the relative gate, of the
	// contiguous 30 s that hold most energy; of the whole track when it is
	// shorter. LUFS. Choosing by energy rather than by gated loudness keeps a
	// window that is a last beat and 29 s of silence from being called the
	// loudest: the gate would leave the beat alone to be measured.
	Loudest30 float64
	// Loudest30Start is where it begins, in seconds, on a grid of 0.1 s.
	Loudest30Start float64
	// Loudest30Over is how many seconds of those it was measured over: 30, less
	// where the track is shorter or the absolute gate took silence out, which
	// reads higher than the same music without the pause would over all 30 s.
	Loudest30Over float64

	// Timeline is the highest short-term loudness in each TimelineStep
	// seconds, LUFS, each 3 s window counting where its middle is; at most 240
	// steps, multiples of 0.1 s. The first and last 1.5 s take the nearest
	// whole window. A track under 3 s has one window, as long as itself.
	Timeline     []float64
	TimelineStep float64
}

// Result measures what has been written so far. An incomplete last block is
// left out, as BS.1770-5 says.
func (m *Meter) Result() Result {
	r := Result{
		MomentaryMax: lufs(m.momentaryMax),
		ShortTermMax: lufs(m.shortTermMax),
		Integrated:   lufs(m.integrated()),
		Range:        m.loudnessRange(),
	}
	r.Loudest30, r.Loudest30Start, r.Loudest30Over = m.loudest30()
	r.Timeline, r.TimelineStep = m.timeline()
	return r
}

// hopsPower is the mean power of n hops from hop i.
func (m *Meter) hopsPower(i, n int) float64 {
	e := 0.0
	for _, h := range m.hops[i : i+n] {
		e += h
	}
	return e / float64(m.hopStart(i+n)-m.hopStart(i))
}

// hopStart is the sample at which hop i begins.
func (m *Meter) hopStart(i int) int64 { return m.stepEnd(i*stepsPerHop - 1) }

// blockPowers gives the mean power of every 400 ms block that lies wholly in
// hops [from, to).
func (m *Meter) blockPowers(from, to int) []float64 {
	p := make([]float64, 0, max(0, to-from))
	for i := from; i+blockHops <= to; i++ {
		p = append(p, m.hopsPower(i, blockHops))
	}
	return p
}

// meanAbove is the mean of those powers that are above the gate, 0 when none is.
func meanAbove(powers []float64, gate float64) float64 {
	sum, n := 0.0, 0
	for _, p := range powers {
		if p > gate {
			sum += p
			n++
		}
	}
	if n == 0 {
		return 0
	}
	return sum / float64(n)
}

// integrated is the gated mean power of BS.1770-5 annex 1.
//
//	gate_r = -0.691 + 10 log10(mean of blocks above -70 LUFS) - 10
//	L_KG   = -0.691 + 10 log10(mean of blocks above -70 LUFS and gate_r)
func (m *Meter) integrated() float64 { return m.gated(0, len(m.hops)) }

// Over is the integrated loudness between two times in seconds, LUFS, on the grid of 0.1 s;
// NaN where there is none.
func (m *Meter) Over(from, to float64) float64 {
	hop := func(t float64) int { return int(math.Round(min(float64(len(m.hops)), max(0, t*hopsPerSecond)))) }
	return lufs(m.gated(hop(from), hop(to)))
}

// gated is that power over hops [from, to).
func (m *Meter) gated(from, to int) float64 {
	blocks := m.blockPowers(from, to)
	absolute := power(absoluteGateLUFS)
	relative := meanAbove(blocks, absolute) * math.Pow(10, relativeGateLU/10)
	return meanAbove(blocks, max(absolute, relative))
}

// loudnessRange is the LRA of Tech 3342 section 3.1 on short-term values every
// 100 ms. The percentile is that of the reference code in section 5:
//
//	v[round((n-1) p + 1)], counted from 1, of the sorted values
func (m *Meter) loudnessRange() float64 {
	var powers []float64
	sum := 0.0
	for i := 0; i+rangeHops <= len(m.hops); i++ {
		if p := m.hopsPower(i, rangeHops); p >= power(absoluteGateLUFS) {
			powers = append(powers, p)
			sum += p
		}
	}
	if len(powers) == 0 {
		return math.NaN()
	}
	gate := sum / float64(len(powers)) * math.Pow(10, rangeGateLU/10)
	powers = slices.DeleteFunc(powers, func(p float64) bool { return p < gate })
	slices.Sort(powers)
	last := float64(len(powers) - 1)
	at := func(p float64) float64 { return lufs(powers[int(math.Round(last*p))]) }
	return at(rangeHigh) - at(rangeLow)
}

// loudest30 finds the 30 s with most energy and measures them.
func (m *Meter) loudest30() (loudness, start, over float64) {
	n := min(loudHops, len(m.hops))
	best, bestEnergy, energy := 0, 0.0, 0.0
	for i, e := range m.hops {
		energy += e
		if i >= n {
			energy -= m.hops[i-n]
		}
		// A later window must be louder by more than rounding to be preferred.
		if i >= n-1 && energy > bestEnergy*(1+1e-9) {
			best, bestEnergy = i-n+1, energy
		}
	}
	p := meanAbove(m.blockPowers(best, best+n), power(absoluteGateLUFS))
	if p == 0 {
		return math.NaN(), math.NaN(), math.NaN()
	}
	return lufs(p), float64(best) / hopsPerSecond, m.sounding(best, best+n)
}
