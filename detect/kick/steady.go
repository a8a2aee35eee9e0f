package kick

import "math"

// steady is the frequency of a frame, by the slope of its phase.
func steady(y []complex64, rate float64) (hz float64, ok bool) {
	phase := unwrapped(y)
	slope, stray := line(phase)
	if !(slope > 0) || stray > steadyPhase {
		return 0, false
	}
	return slope * rate / (2 * math.Pi), true
}

// unwrapped is the phase of a complex signal, without jumps.
func unwrapped(y []complex64) []float64 {
	out := make([]float64, len(y))
	for i, v := range y {
		p := math.Atan2(float64(imag(v)), float64(real(v)))
		if i > 0 {
			p += 2 * math.Pi * math.Round((out[i-1]-p)/(2*math.Pi))
		}
		out[i] = p
	}
	return out
}

// line is the slope of the straight line through x, a sample, and how far x strays from
// it, root mean square.
func line(x []float64) (slope, stray float64) {
	n := float64(len(x))
	middle, mean := (n-1)/2, 0.0
	for _, v := range x {
		mean += v / n
	}
	xy, xx := 0.0, 0.0
	for i, v := range x {
		d := float64(i) - middle
		xy += d * (v - mean)
		xx += d * d
	}
	slope = xy / xx
	for i, v := range x {
		d := v - mean - slope*(float64(i)-middle)
		stray += d * d / n
	}
	return slope, math.Sqrt(stray)
}
