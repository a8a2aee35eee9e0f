package spectrum

// Sliding calls each with the mean power of every band over windows of the given length
// in seconds that follow one another by a third to two thirds of a second, and where
// each begins. Bands wholly above half the sample rate are NaN. A track that is shorter
// than a window has one, as long as itself; one without audio has none. bands is valid
// during the call only.
func (m *Meter) Sliding(seconds float64, each func(start float64, bands []float64)) {
	m.end()
	if m.written == 0 {
		return
	}
	bands := make([]float64, Bands)
	last := max(0, float64(m.written)/m.rate-seconds)
	hop := float64(m.short.step) / m.rate
	for i := 0; float64(i)*hop <= last; i++ {
		start := float64(i) * hop
		deep, mid, short := m.over(start, start+seconds)
		copy(bands, deep[:deepSplit])
		copy(bands[deepSplit:], mid[:split-deepSplit])
		copy(bands[split:], short[:Bands-split])
		each(start, bands)
	}
}
