package spectrum

// mostMeans are the steps that are held, 50 minutes of the short ones at 44.1 kHz. Then two
// are made one, their mean, and what follows comes in steps of that length: a set takes no
// more memory the longer it is, and where a window begins and ends in it is told to a second
// and a half.
const mostMeans = 1 << 13

// means are mean powers of each step, width values a step.
type means struct {
	width   int
	values  []float32
	halved  int       // times
	pending []float64 // of the step at hand, where it is made of several
	have    int       // of them so far
}

// fold is how many steps that were added make one.
func (s *means) fold() int { return 1 << s.halved }

// add appends a step.
func (s *means) add(powers []float64) {
	if s.halved > 0 {
		if powers = s.gather(powers); powers == nil {
			return
		}
	}
	for _, p := range powers {
		s.values = append(s.values, float32(p))
	}
	if len(s.values) == mostMeans*s.width {
		s.halve()
	}
}

// gather gives the mean of a whole step, nil where it isn't one yet.
func (s *means) gather(powers []float64) []float64 {
	if s.have == 0 {
		clear(s.pending)
	}
	for j, p := range powers {
		s.pending[j] += p / float64(s.fold())
	}
	if s.have++; s.have < s.fold() {
		return nil
	}
	s.have = 0
	return s.pending
}

// halve makes one step of every two.
func (s *means) halve() {
	n := mostMeans / 2
	for i := range n {
		for j := range s.width {
			s.values[i*s.width+j] = (s.values[2*i*s.width+j] + s.values[(2*i+1)*s.width+j]) / 2
		}
	}
	s.values = s.values[:n*s.width]
	s.halved++
	s.pending = make([]float64, s.width)
}

// over is the mean of each value between two places in steps. The last step
// stands for what little may follow it.
func (s *means) over(from, to float64) []float64 {
	from, to = from/float64(s.fold()), to/float64(s.fold())
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
