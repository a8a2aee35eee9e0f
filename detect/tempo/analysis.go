package tempo

import "math"

// analysis is the work on one onset curve.
type analysis struct {
	c     *curve
	part  [parts][]float64 // detrended
	total []float64        // the sum of the parts, detrended
}

func newAnalysis(c *curve) *analysis {
	a := &analysis{c: c, total: make([]float64, len(c.part[0]))}
	half := int(meanSeconds / 2 / c.step)
	for p, x := range c.part {
		y := make([]float64, len(x))
		for i, v := range x {
			y[i] = float64(v)
			a.total[i] += y[i]
		}
		a.part[p] = detrend(y, half)
	}
	a.total = detrend(a.total, half)
	return a
}

// systematic is by how much, in seconds, the arrangement may shift the phase
// between the beginning and the end of a track, for instance where the part
// that marks the beat changes; its effect on the tempo is added to the
// statistical error.
const systematic = 0.003

// certainSigmas is how many standard errors a whole number may lie away and
// still be taken for the tempo: 95 % of a normal distribution lie within.
const certainSigmas = 2

func (a *analysis) result(r *Result) {
	p := newPeriodicity(a.total, a.c.step)
	found := p.search()
	pl := refine(a.total, a.c.step, found.bpm/60)
	duration := float64(len(a.total)) * a.c.step
	bpm := pl.hz * 60
	r.Uncertainty = 60 * math.Hypot(pl.error, pl.hz*systematic/duration)
	r.Confidence = confidence(found, pl)
	if r.Confidence < least {
		r.Uncertainty = math.NaN()
		return
	}
	if whole := math.Round(bpm); math.Abs(bpm-whole) <= certainSigmas*r.Uncertainty {
		bpm = whole
	}
	r.BPM = bpm
	r.Alternative = bpm * found.alternative
	g := a.findGrid(bpm / 60)
	r.FirstBeat = g.first
	r.DriftPercent = 0
}

// least is the confidence below which no tempo is given.
const least = 0.2

func confidence(f found, p pulse) float64 {
	return p.coherence * p.coherence
}
