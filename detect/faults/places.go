package faults

import "math"

// gap is a place in samples, with a length where it has one.
type gap struct{ start, length int64 }

// withoutRhythm drops gaps that come at even distances: three or more in a row of
// like length and spacing are a gate effect.
func withoutRhythm(g []gap, rate float64) []gap {
	even := make([]bool, len(g))
	like := func(a, b int64) bool {
		return math.Abs(float64(a-b)) <= max(0.002*rate, 0.03*float64(max(a, b)))
	}
	for i := 1; i+1 < len(g); i++ {
		a, b, c := g[i-1], g[i], g[i+1]
		if like(b.start-a.start, c.start-b.start) && like(a.length, b.length) && like(b.length, c.length) {
			even[i-1], even[i], even[i+1] = true, true, true
		}
	}
	var out []gap
	for i, e := range even {
		if !e {
			out = append(out, g[i])
		}
	}
	return out
}
