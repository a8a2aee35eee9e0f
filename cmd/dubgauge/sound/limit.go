package sound

import "math"

// Limit keeps the samples of both channels within ceiling by one gain that looks
// ahead: the smallest gain that any sample within the window needs, smoothed
// over the window.
func Limit(left, right []float64, ceiling float64) {
	const window = 220 // 5 ms
	need := make([]float64, len(left))
	for i := range left {
		need[i] = math.Min(1, ceiling/math.Max(math.Abs(left[i]), math.Abs(right[i])))
	}
	turnDown(left, right, need, slidingMin(need, window), window)
}

// turnDown multiplies both channels by the running mean of held over window
// samples, never by more than need.
func turnDown(left, right, need, held []float64, window int) {
	sum := 0.0
	for i := range left {
		sum += held[i]
		n := i + 1
		if i >= window {
			sum -= held[i-window]
			n = window
		}
		g := math.Min(sum/float64(n), need[i])
		left[i] *= g
		right[i] *= g
	}
}

// slidingMin gives, at i, the smallest of x[i] to x[i+ahead], by the queue of
// rising candidates.
func slidingMin(x []float64, ahead int) []float64 {
	out := make([]float64, len(x))
	var queue []int
	for i := len(x) - 1; i >= 0; i-- {
		for len(queue) > 0 && x[queue[len(queue)-1]] >= x[i] {
			queue = queue[:len(queue)-1]
		}
		queue = append(queue, i)
		if queue[0] > i+ahead {
			queue = queue[1:]
		}
		out[i] = x[queue[0]]
	}
	return out
}
