package loudness

import "math"

// timeline gives the highest short-term loudness of each step and the length
// of a step in seconds; see Result.
func (m *Meter) timeline() (levels []float64, step float64) {
	n := len(m.hops)
	if n == 0 {
		return nil, math.NaN()
	}
	hops := (n + timelineMax - 1) / timelineMax
	for from := 0; from < n; from += hops {
		highest := 0.0
		for i := from; i < min(from+hops, n); i++ {
			highest = max(highest, m.shortTermAround(i))
		}
		levels = append(levels, lufs(highest))
	}
	return levels, float64(hops) / hopsPerSecond
}

// shortTermAround is the highest mean power of the 3 s windows whose middle is
// in hop i.
func (m *Meter) shortTermAround(i int) float64 {
	n := len(m.hops)
	if n < rangeHops {
		return m.hopsPower(0, n)
	}
	end := min(max(i+rangeHops/2, rangeHops-1), n-1) // hop in which such a window ends
	return float64(m.shortTerms[end])
}
