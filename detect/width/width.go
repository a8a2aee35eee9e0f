// Package width measures how the two channels of a track stand to each other: their
// correlation below 150 Hz, and where in the track and in which third octave most is
// lost when they are summed.
//
// The correlation is that of the sum, which weighs the channels by their power:
//
//	r = 2 <LR> / (<LL> + <RR>)
//
// 1 for equal channels, 0 for unrelated ones or one channel alone, -1 for opposite ones.
// Channels of equal power have Pearson's. What a band loses is the power of the sum over
// that of both channels,
//
//	loss = 10 log10 (|L + R|^2 / 2) / (|L|^2 + |R|^2)
//
// in dB: 0 for equal channels, -3 for unrelated ones. Only files of two channels have a
// width; what does not exist is NaN.
package width

import (
	"math"

	"dubgauge/detect/spectrum"
)

const (
	// windowSeconds is how long something must be lost to be a place of its own: about
	// two bars.
	windowSeconds = 4.0
	// audibleWindow and audibleBand are how far a window may lie under the strongest of
	// the track, and a band under all of its window, for a loss to be heard, dB. The
	// second leaves in the top octave of dark music. Our judgement.
	audibleWindow = 15.0
	audibleBand   = 30.0
	// deepest is reported where nothing is left that arithmetic could tell apart, dB.
	deepest = -60.0
)

// The bands that count: 25 Hz to 16 kHz.
const firstBand, lastBand = 1, spectrum.Bands - 2

// Result of a track.
type Result struct {
	// LowCorrelation is over 20 to 150 Hz in the part asked for.
	LowCorrelation float64
	// Worst is the largest loss of any audible band in any audible window of 4 s, dB;
	// Hz its nominal middle, At the middle of the window in seconds.
	Worst, Hz, At float64
}

// Exists tells that there are two channels with something in them.
func (r Result) Exists() bool { return !math.IsNaN(r.Worst) }

// Of measures the track that was written to a spectrum meter of two channels; from and
// to, in seconds, are the part that the correlation is of.
func Of(m *spectrum.Meter, from, to float64) Result {
	r := Result{LowCorrelation: math.NaN(), Worst: math.NaN(), Hz: math.NaN(), At: math.NaN()}
	strongest := 0.0
	m.SlidingSides(windowSeconds, func(_ float64, both, _ []float64) { strongest = max(strongest, sum(both)) })
	if strongest == 0 {
		return r
	}
	if p := m.LowPowers(from, to); p.Full > 0 {
		r.LowCorrelation = min(1, max(-1, 2*p.Mono/p.Full-1))
	}
	m.SlidingSides(windowSeconds, func(start float64, both, apart []float64) {
		all := sum(both)
		if all < strongest*power(-audibleWindow) {
			return
		}
		for b := firstBand; b <= lastBand; b++ {
			if !(both[b] >= all*power(-audibleBand)) {
				continue
			}
			loss := 0.0 // of equal channels, whose place must not be that of some rounding error
			if apart[b] > spectrum.LeastSide*both[b] {
				loss = max(deepest, 10*math.Log10(max(0, 1-apart[b]/both[b])))
			}
			if !(r.Worst <= loss) {
				r.Worst, r.Hz, r.At = loss, spectrum.Centres[b], start+windowSeconds/2
			}
		}
	})
	return r
}

func power(dB float64) float64 { return math.Pow(10, dB/10) }

// sum of the bands that exist.
func sum(bands []float64) float64 {
	s := 0.0
	for _, p := range bands[firstBand : lastBand+1] {
		if p > 0 {
			s += p
		}
	}
	return s
}
