package spectrum

import "dubgauge/detect/dsp"

// Values that the short frames give for each step: the bands from split on,
// then what lies above the bass, then with two channels the bands of their difference.
const (
	shortAbove = Bands - split
	shortWidth = shortAbove + 1
)

// short is the transform for the upper bands.
type short struct {
	frames *frames
	binHz  float64
	step   int64
	means  means
	sums   [shortWidth]sum
	sides  *sides // nil unless there are two channels
	out    []float64

	current int64     // step that is being summed
	power   []float32 // of each bin in the order of the transform, over the step
	weight  float64   // sum of squared windows in it
	whole   float64   // weight of one frame
	bins    []float64 // one-sided powers of the step
	total   []float64 // one-sided sums over the track
	weights float64   // weight of total
	length  int64     // of the track; huge until it is known
}

func newShort(rate float64, channels int, step int64) *short {
	n := 16
	for rate/float64(n) > shortBinHz {
		n *= 2
	}
	s := &short{binHz: rate / float64(n), step: step, length: 1 << 62}
	s.power, s.bins, s.total = make([]float32, n), make([]float64, n/2+1), make([]float64, n/2+1)
	taper := n / taperShare
	s.frames = newFrames(tapered(n, taper, dsp.SmoothTaper), n-taper, channels, taper/2, s.take)
	s.whole = s.frames.weight(0, s.length)
	for b := split; b < Bands; b++ {
		low, high := Edges(b)
		s.sums[b-split] = newSum(low, high, s.binHz, n/2, flat)
	}
	width := shortWidth
	if channels == 2 {
		s.sides = newSides(s.sums[:shortAbove], n)
		width += shortAbove
	}
	s.means.width, s.out = width, make([]float64, width)
	s.sums[shortAbove] = newSum(fadeFrom, aboveTo, s.binHz, n/2, func(hz float64) float64 { return fade(hz, fadeFrom, fadeTo) })
	return s
}

func (s *short) write(block [][]float32) {
	f := s.frames
	for from, n := 0, len(block[0]); from < n; {
		to := min(n, from+f.room())
		for c := range block {
			f.put(c, block[c][from:to])
		}
		f.advance(to - from)
		from = to
	}
}

// take adds a frame to the step that its middle is in.
func (s *short) take(start int64) {
	if start >= s.length {
		return
	}
	n := int64(len(s.power))
	for (start+n/2)/s.step > s.current && start+n/2 < s.length {
		s.endStep()
	}
	for _, z := range s.frames.output {
		z = z[:len(s.power)]
		for i, v := range z {
			s.power[i] += real(v)*real(v) + imag(v)*imag(v)
		}
	}
	if s.sides != nil {
		s.sides.add(s.frames.output[0], s.frames.fft.Place())
	}
	w := s.whole
	if start < 0 || start+n > s.length {
		w = s.frames.weight(start, s.length)
	}
	s.weight += w
}

// endStep stores the means of the current step.
//
//	P[k] = (|Z[k]|^2 + |Z[N-k]|^2) / (N W)
func (s *short) endStep() {
	n := len(s.power)
	place := s.frames.fft.Place()
	for k := range s.bins {
		p := float64(s.power[place[k]])
		if k > 0 && k < n/2 {
			p += float64(s.power[place[n-k]])
		}
		s.total[k] += p
		s.bins[k] = p / (float64(n) * s.weight)
	}
	s.weights += s.weight
	for i, sum := range s.sums {
		s.out[i] = sum.of(s.bins)
	}
	if s.sides != nil {
		s.sides.of(s.bins, float64(n)*s.weight, s.out[shortWidth:])
	}
	s.means.add(s.out)
	clear(s.power)
	s.weight = 0
	s.current++
}

func (s *short) end(length int64) {
	s.length = length
	s.frames.finish()
	if s.weight > 0 {
		s.endStep()
	}
}

func (s *short) longTerm() (psd []float64, binHz float64) {
	if s.weights == 0 {
		return nil, s.binHz
	}
	psd = make([]float64, len(s.total))
	for k, p := range s.total {
		psd[k] = p / (float64(len(s.power)) * s.weights * s.binHz)
	}
	return psd, s.binHz
}
