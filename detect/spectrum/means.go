package spectrum

// means are mean powers of each step, width values a step.
type means struct {
	width  int
	values []float32
}

// add appends a step.
func (s *means) add(powers []float64) {
	for _, p := range powers {
		s.values = append(s.values, float32(p))
	}
}

// over is the mean of each value between two places in steps. The last step
// stands for what little may follow it.
func (s *means) over(from, to float64) []float64 {
	mean := make([]float64, s.width)
	length := 0.0
	if n := float64(len(s.values) / s.width); from < to && from >= n && n > 0 {
		from, to = n-1, n
	}
	for i := int(from); i < len(s.values)/s.width && float64(i) < to; i++ {
		part := min(to, float64(i+1)) - max(from, float64(i))
		length += part
		for j := range mean {
			mean[j] += part * float64(s.values[i*s.width+j])
		}
	}
	for j := range mean {
		mean[j] /= length // NaN for an empty window
	}
	return mean
}
