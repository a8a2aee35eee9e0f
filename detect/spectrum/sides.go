package spectrum

// sides keeps what the two channels of the short frames share, by which the power of
// the difference of the channels is told from that of both.
//
// Z being the transform of l + i r,
//
//	Re(L conj R) = Im(Z[k] Z[N-k]) / 2
//	|S|^2 = |(L - R)/sqrt 2|^2 = (|L|^2 + |R|^2)/2 - Re(L conj R)
type sides struct {
	from   int       // first bin that a band needs
	shared []float32 // sum of Im(Z[k] Z[N-k]) over the step, from that bin on
	bins   []float64
	sums   []sum
}

// newSides makes room for the bins of the bands that sums are of; frames have n samples.
func newSides(sums []sum, n int) *sides {
	s := &sides{from: n / 2, sums: sums}
	last := 0
	for _, b := range sums {
		if len(b.weight) > 0 {
			s.from, last = min(s.from, b.from), max(last, b.from+len(b.weight)-1)
		}
	}
	s.shared, s.bins = make([]float32, max(0, last+1-s.from)), make([]float64, n/2+1)
	return s
}

// add takes a transform in the order that place gives.
func (s *sides) add(z []complex64, place []int32) {
	n := len(z)
	up, down := place[s.from:][:len(s.shared)], place[n-s.from-len(s.shared)+1:][:len(s.shared)]
	last := len(s.shared) - 1
	for i := range s.shared {
		a, b := z[up[i]], z[down[last-i]]
		s.shared[i] += real(a)*imag(b) + imag(a)*real(b)
	}
}

// of puts the bands' powers of the difference into out and begins a new step. bins are
// the powers of both channels, scale what they were divided by.
func (s *sides) of(bins []float64, scale float64, out []float64) {
	if last := len(bins) - 1; last < s.from+len(s.shared) {
		s.shared[last-s.from] /= 2 // half the rate has no mirror image: its power counts once
	}
	for i, v := range s.shared {
		s.bins[s.from+i] = max(0, bins[s.from+i]/2-float64(v)/scale)
	}
	for i, sum := range s.sums {
		out[i] = sum.of(s.bins)
	}
	clear(s.shared)
}

// LeastSide is how far the difference of the channels may lie under their sum before it
// is what arithmetic leaves of two equal channels, as a ratio of powers: -60 dB.
const LeastSide = 1e-6

// Sides gives the levels of each band between two times in seconds, in dB, of the sum of
// the two channels and of their difference, each over the square root of two, so that
// the powers of both add up to those of Over. Equal channels have no difference, which is
// NaN; so it is of what lies more than 60 dB under the sum. Both are nil unless the track
// has two channels.
func (m *Meter) Sides(from, to float64) (mid, side []float64) {
	if m.channels != 2 {
		return nil, nil
	}
	m.end()
	both, apart := m.pair(from, to)
	mid, side = make([]float64, Bands), make([]float64, Bands)
	for b, p := range both {
		mid[b] = decibels(max(0, p-apart[b]))
		if !(apart[b] > LeastSide*p) {
			apart[b] = 0
		}
		side[b] = decibels(apart[b])
	}
	return mid, side
}

// pair gives the powers of each band between two times in seconds: of both channels, and
// of their difference.
func (m *Meter) pair(from, to float64) (both, apart []float64) {
	deep, mid, short := m.over(from, to)
	both = append(append(append(make([]float64, 0, Bands), deep[:deepSplit]...), mid[:split-deepSplit]...), short[:shortAbove]...)
	apart = append(append(append(make([]float64, 0, Bands), deep[deepWidth:]...), mid[midWidth:]...), short[shortWidth:]...)
	return both, apart
}

// SlidingSides is Sliding with the powers of the difference of the two channels beside
// those of both; without two channels it calls each never.
func (m *Meter) SlidingSides(seconds float64, each func(start float64, both, apart []float64)) {
	m.end()
	if m.written == 0 || m.channels != 2 {
		return
	}
	last := max(0, float64(m.written)/m.rate-seconds)
	hop := float64(m.short.step) / m.rate
	for i := 0; float64(i)*hop <= last; i++ {
		start := float64(i) * hop
		both, apart := m.pair(start, start+seconds)
		each(start, both, apart)
	}
}
