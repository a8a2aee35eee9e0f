package advice

import (
	"math"

	"dubgauge/detect"
	"dubgauge/detect/dsp"
	"dubgauge/detect/loudness"
	"dubgauge/detect/reason"
	"dubgauge/detect/spectrum"
)

const (
	// A normal distribution has its 10th and 90th percentile 2.563 standard deviations
	// apart.
	tenthToNinetieth = 2.563
	// bandFloor is what a third octave of one and the same music differs by from part
	// to part, dB; our judgement. It keeps a band in which all references agree from
	// outweighing all others.
	bandFloor = 0.7
	// looseLevel is how far loudness may be off as a measure of the level of a spectrum,
	// dB: between songs it rests on other parts of them.
	looseLevel = 0.5
)

// absurd is further than any record lies from another, dB: such a figure was never
// measured.
const absurd = 60.0

// curve is a problem with the range that is normal in each band.
type curve struct {
	problem
	low, high []float64 // dB from the median
	top       topJudged
	verdict   Verdict
	told      []Said // by the verdict, and by the figure of the top
}

// curveOf holds a spectrum against the percentiles of its group.
func curveOf(own detect.Spectrum, level detect.Value, low, middle, high []detect.Value) *curve {
	c := &curve{problem: problem{loose: looseLevel}}
	strongest := detect.Value(math.Inf(-1))
	for _, v := range middle {
		if v.Exists() {
			strongest = max(strongest, v)
		}
	}
	for b := firstBand; b <= lastBand && b < len(middle) && b < len(own.LoudestDB); b++ {
		off := own.LoudestDB[b] - level - middle[b]
		_, upper := spectrum.Edges(b)
		if !(math.Abs(float64(off)) <= absurd) || !(high[b]-low[b] <= absurd) || middle[b] < strongest-quietest || (own.BandwidthHz.Exists() && upper > float64(own.BandwidthHz)) {
			continue
		}
		spread := float64(high[b]-low[b]) / tenthToNinetieth
		c.band = append(c.band, b)
		c.dB = append(c.dB, float64(off))
		c.weight = append(c.weight, 1/(spread*spread+bandFloor*bandFloor))
		c.heard = append(c.heard, math.Pow(10, float64(own.LoudestDB[b]-level)/10)*loudness.Weight(spectrum.Exact(b)))
		c.low, c.high = append(c.low, float64(low[b]-middle[b])), append(c.high, float64(high[b]-middle[b]))
	}
	return c
}

// core is the part of its effect from which a band belongs to a filter.
const core = 0.5

// about is how far the track lies off where a filter of the model acts, without that
// filter: the mean over its bands, weighted by its effect; and the range there.
func (c *curve) about(m *model, i int) (off, low, high float64) {
	gains, left := m.shapes[i].gains(c.band, make([]float64, len(c.band))), c.left(m)
	most := 0.0
	for _, g := range gains {
		most = max(most, math.Abs(g))
	}
	sum := 0.0
	for b, g := range gains {
		w := math.Abs(g)
		if w < core*most || most == 0 {
			continue
		}
		sum += w
		off += w * (left[b] + g)
		low += w * c.low[b]
		high += w * c.high[b]
	}
	return off / sum, low / sum, high / sum
}

// What is narrower than about half an octave is no broad move: only a peak of so many dB
// is taken out, as a resonance; holes are left alone. Common practice, no source.
const (
	broadQ = 2.5
	peakDB = 3.0
)

// allowed tells whether a filter of the model may be advised: it is audible, what it
// takes back lies outside the range, and no larger one does the opposite at one place, or
// so much of the same that both are more than what is ever advised.
func (c *curve) allowed(m *model, i int) bool {
	s := m.shapes[i]
	if math.Abs(s.dB) < Least || (s.filter == reason.Bell && s.q > broadQ && s.dB < peakDB) {
		return false
	}
	for k, o := range m.shapes {
		larger := math.Abs(o.dB) > math.Abs(s.dB) || (o.dB == s.dB && k < i)
		if k != i && larger && (fight(s, o) || pile(s, o)) {
			return false
		}
	}
	off, low, high := c.about(m, i)
	return (s.dB > 0 && off > high) || (s.dB < 0 && off < low)
}

// medianLevel of the references, LUFS.
func medianLevel(spectra []detect.Spectrum, levels []detect.Value) float64 {
	var x []float64
	for i, v := range levels {
		if v.Exists() && len(spectra[i].LoudestDB) > 0 {
			x = append(x, float64(v))
		}
	}
	return dsp.Median(x)
}
