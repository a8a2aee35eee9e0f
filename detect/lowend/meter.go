// Package lowend compares the bottom of a track with what lies above it, and
// tells what a mono loudspeaker loses of it. All results are in dB.
//
// P(a,b) being the mean power between a and b Hz, unweighted and summed over
// the channels:
//
//	low       = 10 log10 P(20,150) / P(150,20000)
//	sub       = 10 log10 P(20,60)  / P(150,20000)
//	bass      = 10 log10 P(60,150) / P(150,20000)
//	mono loss = 10 log10 n P(20,150 of the mean of the channels) / P(20,150)
//
// n being the number of channels; with two, the last is 2 P((L+R)/2)/P(L and
// R): 0 dB for equal sides, -3.01 dB for unrelated ones or one side alone, far
// below for opposite phase. The low-frequency channel of files with 6 to 8
// channels takes no part in the mono loss; in a mono file it is 0.
//
// Limits are sharp to 1 Hz at 20, 60 and 150 Hz: a tone as far inside is read
// within 0.1 dB, one as far outside is 25 dB down or more. A result that does
// not exist, as in silence or without anything above 150 Hz, is NaN.
package lowend

import (
	"math"

	"dubgauge/detect/spectrum"
)

// deepestLoss is reported where opposite phase leaves less than the
// arithmetic can tell apart, in dB.
const deepestLoss = -100.0

// Meter measures one track. Write everything, then ask for windows of it.
type Meter struct{ spectrum *spectrum.Meter }

// New returns a meter for a rate in hertz, 8000 or more, and 1 to 8 channels.
func New(rate, channels int) *Meter { return Of(spectrum.New(rate, channels)) }

// Of returns a meter that reads from a spectrum meter, to which the track is
// written; writing to the meter returned as well would count it twice.
func Of(m *spectrum.Meter) *Meter { return &Meter{m} }

// Write takes the next samples of the track: block[c][i] is sample i of
// channel c. The block is not kept.
func (m *Meter) Write(block [][]float32) { m.spectrum.Write(block) }

// Result is in dB; see the package comment.
type Result struct{ Low, Sub, Bass, MonoLoss float64 }

// Over measures what lies between two times in seconds.
func (m *Meter) Over(from, to float64) Result {
	p := m.spectrum.LowPowers(from, to)
	r := Result{
		Low: ratio(p.Sub+p.Bass, p.Above), Sub: ratio(p.Sub, p.Above), Bass: ratio(p.Bass, p.Above),
		MonoLoss: math.NaN(),
	}
	if p.Full > 0 {
		r.MonoLoss = min(0, max(deepestLoss, 10*math.Log10(p.Mono/p.Full)))
	}
	return r
}

// ratio is 10 log10 a/b, NaN unless both are positive.
func ratio(a, b float64) float64 {
	if !(a > 0) || !(b > 0) {
		return math.NaN()
	}
	return 10 * math.Log10(a/b)
}
