package limit

// sliding is the minimum of the last so many values, by the queue of rising candidates:
// a few operations a value, however long the window.
type sliding struct {
	value []float64 // ring; candidates, the least first
	place []int64   // of each
	first int
	n     int
	now   int64
}

func newSliding(window int) sliding {
	return sliding{value: make([]float64, window), place: make([]int64, window)}
}

// push takes the next value in and returns the least of the window that ends with it;
// before the first, values count as more than any.
func (s *sliding) push(v float64) float64 {
	for s.n > 0 && s.value[s.at(s.n-1)] >= v {
		s.n--
	}
	if s.n > 0 && s.place[s.first] <= s.now-int64(len(s.value)) {
		s.first = s.at(1)
		s.n--
	}
	last := s.at(s.n)
	s.value[last], s.place[last] = v, s.now
	s.n++
	s.now++
	return s.value[s.first]
}

// at is where the i-th candidate stands. A division would take longer than all else here.
func (s *sliding) at(i int) int {
	if i += s.first; i >= len(s.value) {
		i -= len(s.value)
	}
	return i
}

// mean is the mean of the last so many values; before the first, they count as 1.
type mean struct {
	ring []float64
	next int
	sum  float64
}

func newMean(n int) mean {
	m := mean{ring: make([]float64, n), sum: float64(n)}
	for i := range m.ring {
		m.ring[i] = 1
	}
	return m
}

// push takes the next value in. The sum is made afresh once a turn, so that rounding
// does not pile up; means of ones are 1.
func (m *mean) push(v float64) float64 {
	m.sum += v - m.ring[m.next]
	m.ring[m.next] = v
	if m.next++; m.next == len(m.ring) {
		m.next, m.sum = 0, 0
		for _, x := range m.ring {
			m.sum += x
		}
	}
	return m.sum / float64(len(m.ring))
}
