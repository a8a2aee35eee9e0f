// Package loudness measures programme loudness by Recommendation ITU-R
// BS.1770-5 and what EBU Tech 3341 and Tech 3342 build on it.
//
// Levels are in LUFS, differences in LU, times in seconds. A number that does
// not exist, such as the loudness of silence or the short-term loudness of two
// seconds of audio, is NaN.
//
//   - Integrated: 400 ms blocks every 100 ms, gates at -70 LUFS and 10 LU
//     below the mean of what passed the first (BS.1770-5 annex 1).
//   - Momentary and short-term maxima: 400 ms and 3 s windows every 10 ms. EBU
//     Tech 3341 asks for 10 Hz, at which its own cases 13 and 14 cannot be met.
//   - Loudness range: EBU Tech 3342, short-term values every 100 ms.
//   - Loudest 30 s: see Result.
//
// A Meter keeps 520 bytes a second of audio (3.7 MB for two hours) and
// allocates only for those, in growing pieces.
package loudness

import (
	"math"

	"dubgauge/detect/dsp"
)

// Grid of the meter. All windows are whole numbers of steps.
const (
	stepsPerSecond = 100 // 10 ms: the finest grid that cases 13 and 14 of Tech 3341 need is 20 ms
	stepsPerHop    = 10  // 100 ms: 75 % overlap of 400 ms blocks (BS.1770-5 annex 1)
	hopsPerSecond  = stepsPerSecond / stepsPerHop

	momentarySteps = 40  // 400 ms (Tech 3341, 2.2)
	shortTermSteps = 300 // 3 s (Tech 3341, 2.2)
)

// offsetLUFS is the constant of the loudness formula of BS.1770-5 annex 1; it
// cancels the gain of the K-weighting at 997 Hz.
const offsetLUFS = -0.691

// Meter measures one track. Write everything, then ask for the Result.
type Meter struct {
	rate    int
	filters []*filter
	used    int64 // samples a channel written so far
	nextEnd int64 // sample at which the current step ends
	steps   int   // steps completed

	momentary, shortTerm window
	momentaryMax         float64 // mean power
	shortTermMax         float64

	hopEnergy    float64   // of the steps of the current hop
	hopShortTerm float64   // highest short-term power that ended in the current hop
	hops         []float64 // weighted energy of each 100 ms
	stepEnergies energies
	shortTerms   []float32 // highest short-term mean power that ended in each 100 ms
}

// New returns a meter for a sample rate in hertz and one weight a channel, as
// Weights gives them. A channel of weight 0 is left out.
func New(rate int, weights []float64) *Meter {
	m := &Meter{
		rate:      rate,
		momentary: newWindow(momentarySteps),
		shortTerm: newWindow(shortTermSteps),
	}
	shelf, highPass := kWeighting(float64(rate))
	for c, g := range weights {
		if g != 0 {
			m.filters = append(m.filters, &filter{channel: c, weight: g, shelf: shelf, highPass: highPass})
		}
	}
	m.nextEnd = m.stepEnd(0)
	return m
}

// stepEnd gives the sample at which step i ends. Where the rate is not a
// multiple of 100, steps differ in length by one sample.
func (m *Meter) stepEnd(i int) int64 {
	return ((int64(i)+1)*int64(m.rate) + stepsPerSecond/2) / stepsPerSecond
}

// Write takes the next samples of the track: block[c][i] is sample i of
// channel c, full scale being 1. The block is not kept.
func (m *Meter) Write(block [][]float32) {
	if len(block) == 0 {
		return
	}
	n := len(block[0])
	for from := 0; from < n; {
		to := min(n, from+int(m.nextEnd-m.used))
		m.filterAll(block, from, to)
		m.used += int64(to - from)
		from = to
		if m.used == m.nextEnd {
			m.endStep()
		}
	}
}

// filterAll runs samples from to to of every channel through the K-weighting,
// two channels at a time because their sums do not wait for one another.
func (m *Meter) filterAll(block [][]float32, from, to int) {
	fs := m.filters
	for len(fs) >= 2 {
		runTwo(fs[0], fs[1], block[fs[0].channel][from:to], block[fs[1].channel][from:to])
		fs = fs[2:]
	}
	if len(fs) == 1 {
		fs[0].run(block[fs[0].channel][from:to])
	}
}

// endStep takes the energy of the step just completed into every window.
func (m *Meter) endStep() {
	energy := 0.0
	for _, f := range m.filters {
		energy += f.take()
	}
	m.stepEnergies.add(float32(energy))
	m.momentary.add(energy)
	m.shortTerm.add(energy)
	m.steps++
	m.momentaryMax = max(m.momentaryMax, m.meanPower(&m.momentary))
	short := m.meanPower(&m.shortTerm)
	m.shortTermMax = max(m.shortTermMax, short)
	m.hopEnergy += energy
	m.hopShortTerm = max(m.hopShortTerm, short)
	if m.steps%stepsPerHop == 0 {
		m.hops = append(m.hops, m.hopEnergy)
		m.shortTerms = append(m.shortTerms, float32(m.hopShortTerm))
		m.hopEnergy, m.hopShortTerm = 0, 0
	}
	m.nextEnd = m.stepEnd(m.steps)
}

// Steps are the weighted energies of each 10 ms so far, of longer steps in a track of more
// than 2.9 hours, for measurements that follow the loudness over time. They belong to the
// meter.
func (m *Meter) Steps() (energies *dsp.Long[float32], perSecond float64) {
	return &m.stepEnergies.step, stepsPerSecond / float64(m.stepEnergies.fold())
}

// meanPower of the samples under w, 0 until w is full.
func (m *Meter) meanPower(w *window) float64 {
	n := len(w.energy)
	if m.steps < n {
		return 0
	}
	return w.sum / float64(m.stepEnd(m.steps-1)-m.stepEnd(m.steps-1-n))
}

// lufs is the loudness of a weighted mean power, NaN for silence.
//
//	L = -0.691 + 10 log10(sum over channels of G z)
func lufs(power float64) float64 {
	if power <= 0 {
		return math.NaN()
	}
	return offsetLUFS + 10*math.Log10(power)
}

// power is the weighted mean power of a loudness.
func power(lufs float64) float64 { return math.Pow(10, (lufs-offsetLUFS)/10) }

// window is a sliding sum of step energies.
type window struct {
	energy []float64 // ring
	next   int
	sum    float64
}

func newWindow(steps int) window { return window{energy: make([]float64, steps)} }

// add puts one step in and takes the oldest out. The sum is made afresh once
// a turn, so that what loud passages leave in the last bits does not pile up.
func (w *window) add(e float64) {
	w.sum += e - w.energy[w.next]
	w.energy[w.next] = e
	w.next++
	if w.next < len(w.energy) {
		w.sum = max(w.sum, 0)
		return
	}
	w.next, w.sum = 0, 0
	for _, e := range w.energy {
		w.sum += e
	}
}
