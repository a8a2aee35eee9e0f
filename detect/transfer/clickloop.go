package transfer

import (
	"math"

	"dubgauge/detect/dsp/fourier"
)

const (
	// loopFrom and loopTo bound the length of a loop that is looked for, in seconds.
	loopFrom, loopTo = 1.0, 10.0
	// loopHarmonics is how many harmonics of its rate are summed, as long as they lie below
	// loopHighest hertz: a click is placed to a cell, 0.7 ms.
	loopHarmonics, loopHighest = 256, 150.0
	// loopCells is how many cells one sample of the train of clicks is long, loopMost for how
	// many seconds it goes on at most.
	loopCells, loopMost = 2, 360.0
	// loopPairs and loopSigmas are how many pairs of clicks more than by chance must lie on
	// whole loops, the second in standard deviations of what chance puts there.
	loopPairs, loopSigmas = 5.0, 5.0
)

// loops tells that ticks come from a loop. Where music covers it, others of its clicks are
// seen each time, none often enough to be told by itself; all that are seen lie on whole
// loops from each other. With the transform F of n clicks as pulses, over rates f
//
//	pairs = n/2 (sum over k of |F(k f)|^2 / (n K) - 1)
//
// over K harmonics is how many more of the n^2/2 pairs lie on whole loops than by chance,
// which puts some n^2 / (2 K) there.
func (k *clicks) loops(found []tick) bool {
	rate := k.rate / loopCells
	n := min(int(k.at/loopCells), int(loopMost*rate)) + 1
	z := make([]complex64, 1<<int(math.Ceil(math.Log2(float64(n+1)))))
	count := 0.0
	for _, t := range found {
		if i := int(t.cell / loopCells); i < n {
			z[i]++
			count++
		}
	}
	fft := fourier.New(len(z))
	fft.Do(z)
	place := fft.Place()
	power := make([]float32, int(loopHighest/rate*float64(len(z)))+1)
	for i := range power {
		power[i] = squared(z[place[i]]) / float32(max(count, 1))
	}
	bins := float64(len(z)) / rate
	// Half a bin at the highest harmonic.
	for f, step := bins/loopTo, 0.5/loopHarmonics; f < bins/loopFrom; f += step {
		harmonics := min(loopHarmonics, int(float64(len(power)-1)/f))
		sum := float32(0)
		for h := 1; h <= harmonics; h++ {
			sum += power[int(float64(h)*f+0.5)]
		}
		all := float64(harmonics)
		if pairs := count / 2 * (float64(sum)/all - 1); pairs > loopPairs+loopSigmas*count/math.Sqrt(2*all) {
			return true
		}
	}
	return false
}
