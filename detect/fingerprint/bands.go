package fingerprint

import "math"

const (
	// bandLow is the lower limit of the lowest band in hertz, the G below middle C: below
	// are kick and bass, which differ least from track to track.
	bandLow = 196
	// bandsPerOctave makes a band 2 semitones wide, and bands of them reach up to 3.5 kHz,
	// where package key stops listening and which every encoder keeps.
	bandsPerOctave = 6
	bands          = bitsPrint + 1
	// bitsPrint is how many bits a sub-print has, one for two neighbouring bands.
	bitsPrint = 24
)

// bandSums adds the power of a frame up into bands.
type bandSums [bands]struct {
	from, to    int     // the bins wholly in it
	first, last float64 // the share of the bin before from, and of to
}

// newBandSums lays the bands over bins of so many hertz. Bin k reaches from k-1/2 to
// k+1/2.
func newBandSums(binHz float64, bins int) *bandSums {
	var b bandSums
	limit := func(i int) float64 {
		return min(bandLow*math.Pow(2, float64(i)/bandsPerOctave)/binHz+0.5, float64(bins-1))
	}
	for i := range b {
		low, high := limit(i), limit(i+1)
		s := &b[i]
		s.from, s.to = int(math.Ceil(low)), int(high)
		s.first, s.last = float64(s.from)-low, high-float64(s.to)
	}
	return &b
}

// amplitudes fills dst with the square root of the power in each band.
func (b *bandSums) amplitudes(dst *[bands]float32, amp []float64) {
	for i := range b {
		s := &b[i]
		sum := s.first*amp[s.from-1]*amp[s.from-1] + s.last*amp[s.to]*amp[s.to]
		for _, a := range amp[s.from:s.to] {
			sum += a * a
		}
		dst[i] = float32(math.Sqrt(sum))
	}
}
