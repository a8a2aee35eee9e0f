package tempo

import (
	"math"
	"slices"

	"dubgauge/detect/dsp"
)

const (
	// localSeconds is over how long a local tempo is taken, in seconds.
	localSeconds = 8
	// localStep is the distance of local tempi, in seconds.
	localStep = 2
	// leastDrift is the smallest drift, in percent, that is told from a steady
	// tempo: over localSeconds it is 16 ms, what the phase may be wrong by.
	leastDrift = 0.2
	// held is the range, in percent, in which a tempo is taken for the same.
	held = 0.3
)

// localTempi are the beats per minute every localStep seconds of the track,
// with their times.
func (b *reading) localTempi() (bpm, at []float64) {
	steady := b.bend.steady
	half := int(localSeconds / 2 / b.step)
	for i := half; i+half < len(steady); i += int(localStep / b.step) {
		rate := (steady[i+half] - steady[i-half]) / float64(2*half)
		bpm = append(bpm, 60*b.pulse.hz*rate)
		at = append(at, b.start+float64(i)*b.step)
	}
	const wide = 2 // a median of five: one beat lost or won is not a tempo
	smooth := make([]float64, len(bpm))
	for i := range bpm {
		smooth[i] = dsp.Median(bpm[max(0, i-wide):min(len(bpm), i+wide+1)])
	}
	return smooth, at
}

// drift fills in the drift and where it starts, and takes for BPM the tempo
// that is held longest rather than a mean that is nowhere played.
func (b *reading) drift(r *Result) {
	bpm, at := b.localTempi()
	if len(bpm) < 3 {
		return
	}
	lo, hi := slices.Min(bpm), slices.Max(bpm)
	percent := 100 * (hi - lo) / dsp.Median(bpm)
	r.BPM = longest(bpm)
	sum := 0.0
	for _, v := range bpm {
		sum += (v - r.BPM) * (v - r.BPM)
	}
	r.Uncertainty = math.Sqrt(sum / float64(len(bpm)))
	if percent >= leastDrift {
		r.DriftPercent = percent
		r.DriftFrom = departure(bpm, at, hi-lo)
	}
}

// longest is the median of the tempi within the range that holds most of them;
// of equals, the one nearest to the median of all.
func longest(bpm []float64) float64 {
	s := slices.Sorted(slices.Values(bpm))
	middle := dsp.Median(s)
	most, out := 0, middle
	for i, j := 0, 0; i < len(s); i++ {
		for j < len(s) && s[j] <= s[i]*(1+held/100) {
			j++
		}
		m := dsp.Median(s[i:j])
		if j-i > most || j-i == most && math.Abs(m-middle) < math.Abs(out-middle) {
			most, out = j-i, m
		}
	}
	return out
}

// departure is the time from which the tempo leaves the opening one. It is
// found from where a fifth and half of the range have been left behind, drawn
// back in a straight line: a ramp gives its beginning, a step its place.
func departure(bpm, at []float64, span float64) float64 {
	opening := dsp.Median(bpm[:min(3, len(bpm))])
	first := crossing(bpm, at, opening, span/5)
	half := crossing(bpm, at, opening, span/2)
	if math.IsNaN(first) {
		return at[0]
	}
	if math.IsNaN(half) {
		half = first
	}
	return max(0, first-(half-first)*2/3)
}

// crossing is the time at which the tempo first lies away from the opening
// one, NaN for never.
func crossing(bpm, at []float64, opening, away float64) float64 {
	for i, v := range bpm {
		if d := math.Abs(v - opening); d >= away {
			if i == 0 {
				return at[0]
			}
			last := math.Abs(bpm[i-1] - opening)
			return at[i-1] + (at[i]-at[i-1])*(away-last)/(d-last)
		}
	}
	return math.NaN()
}
