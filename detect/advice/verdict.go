package advice

import (
	"math"
	"slices"

	"dubgauge/detect"
	"dubgauge/detect/reason"
)

// Verdict is what a verdict has said of the balance of a track; the zero value: none is known.
type Verdict struct {
	// Judged: it has held the balance against the references.
	Judged bool
	// Said are the filters that it has named.
	Said []Said
	// Unlike: no reference is like the track, and its balance was not judged.
	Unlike bool
}

// Said is a filter that a verdict has named, and how far in dB the track lies off there.
type Said struct {
	Filter  reason.Filter
	Hz, Off float64
}

// TooFar is a place that lies further off than an equaliser mends.
type TooFar struct {
	Filter reason.Filter `json:"filter"`
	Hz     detect.Value  `json:"hz"`
	OffDB  detect.Value  `json:"off_db"`
}

// mostPassed is the most in dB that is advised, or that a place may lie off for a move, where
// a verdict has named nothing: a mistake that large it names more often than not beside records of
// its kind, but for one of the sub (the README's table of verdicts). What is further off there are
// mostly the notes and the instruments of the track. Our judgement, no source.
const mostPassed = 6.0

// passed tells that a verdict has named nothing of the balance.
func (v *Verdict) passed() bool { return v.Judged && len(v.Said) == 0 }

// about is what it has named where a filter acts, in the same direction.
func (v *Verdict) about(s shape) (d Said, named bool) {
	i := slices.IndexFunc(v.Said, func(d Said) bool {
		by := d.shape()
		return by.dB*s.dB > 0 && (math.Abs(by.at(s.best())) >= core*math.Abs(by.dB) || math.Abs(s.at(by.best())) >= core*math.Abs(s.dB))
	})
	if i < 0 {
		return d, false
	}
	return v.Said[i], true
}

// over tells that a figure in dB is over a limit as it is written.
func over(dB, limit float64) bool { return math.Round(10*math.Abs(dB)) > 10*limit }

// holdBack takes out of a model what is not for an equaliser, and gives how far the track lies
// off where the others act. What is too far off is to be said: the question that belongs to it
// is asked once, here, or asked tells that the verdict did.
func (c *curve) holdBack(m *model) (offs []float64, far []TooFar, asked bool) {
	var kept []shape
	for i, s := range m.shapes {
		off := c.off(m, i)
		d, named := c.verdict.about(s)
		switch {
		case named && over(d.Off, reason.MaxAdvice):
			asked = true
		case c.verdict.Judged && !named && (over(off, mostPassed) || over(s.dB, mostPassed)): // the track's own
		case over(off, reason.MaxAdvice):
			far = append(far, TooFar{s.filter, detect.Value(s.hz()), detect.Value(off)})
		default:
			kept, offs = append(kept, s), append(offs, off)
		}
	}
	m.shapes = kept
	slices.SortFunc(far, func(a, b TooFar) int { return cmpFloat(float64(a.Hz), float64(b.Hz)) })
	return offs, far, asked
}

// off is how far the track lies off where a filter of a model acts, dB: as it was said, where a
// verdict or the figure of the top speaks and the loudest 30 s do not show it.
func (c *curve) off(m *model, i int) float64 {
	s := m.shapes[i]
	if slices.ContainsFunc(c.told, func(d Said) bool { return d.shape() == s }) {
		return s.dB
	}
	off, _, _ := c.about(m, i)
	if math.IsNaN(off) { // no band of it takes part
		off = s.dB
	}
	return off
}
