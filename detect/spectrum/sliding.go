package spectrum

import "math"

// Sliding calls each with the mean power of every band over windows of the
// given length in seconds that follow one another step by step (a third to two
// thirds of a second), and where each begins. Bands wholly above half the sample
// rate are NaN. A track that is shorter than a window has one, as long as
// itself; one without audio has none. Less than a step at the end is left out. bands is valid during the call only.
//
// Sums run along: what a window costs does not grow with its length.
func (m *Meter) Sliding(seconds float64, each func(start float64, bands []float64)) {
	m.end()
	s, l := &m.short.means, &m.low.means
	if s.width == 0 || len(s.values) == 0 {
		return
	}
	steps := min(len(s.values)/s.width, len(l.values)/l.width, max(1, int(m.written/m.step)))
	length := max(1, min(steps, int(math.Round(seconds*m.rate/float64(m.step)))))
	sums, bands := make([]float64, Bands), make([]float64, Bands)
	power := func(step, b int) float64 {
		if b < split {
			return float64(l.values[step*l.width+b])
		}
		return float64(s.values[step*s.width+b-split])
	}
	for i := range steps {
		for b := range sums {
			sums[b] += power(i, b)
			if i >= length {
				sums[b] -= power(i-length, b)
			}
		}
		if i+1 < length {
			continue
		}
		for b, v := range sums {
			bands[b] = max(0, v) / float64(length)
		}
		each(float64(int64(i+1-length)*m.step)/m.rate, bands)
	}
}
