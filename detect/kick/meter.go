// Package kick measures how kick and bass share the bottom of a track that has a steady
// beat: how far the kick stands over the bass between the kicks, how far the bass goes
// down at each kick and how soon it is back, and the pitch of the sub.
//
// It keeps the 30 s with most power below 200 Hz, in mono at 500 to 1000 Hz, whatever the
// length of the track. When the beat is known, the kick is found as what comes back alike
// on the grid: the mean over all its places is the kick, as the bass below it has another
// phase each time and cancels; what is left in each place is the bass.
//
//	kick over bass = mean power of the kick in its first 100 ms
//	                 / mean power of the bass between the kicks
//	dip            = the least that is left at a kick of notes that are held through it
//	back after     = from the attack until those are within 3 dB of what they were before
//
// A note is held through a kick where it sounds before it and behind it at one pitch, and its phase
// behind it is where it leads from before it: one that ends, begins or is struck anew there would seem
// to go down without any ducking. Without enough of them there is neither dip nor way back. The pitch
// of the sub is that of what is left without the kick.
//
// A bass that begins anew with each kick, in one phase, cannot be told from it: then no figure of both
// is given. Results are in dB, seconds and hertz; what does not exist is NaN.
package kick

// Seconds are kept.
const Seconds = 30.0

// fuller is by how much more power a window must have to be taken for a better one, as a
// ratio, so that little is copied.
const fuller = 1.02

// Meter keeps the fullest part of the bottom of a track.
type Meter struct {
	rate     float64
	channels int
	mixed    []float32 // of the channels that have come
	ring     []float32
	n        int64 // samples that have come
	sums     []float64
	sum      float64 // of the second under way
	perSum   int
	best     []float32
	from     int64 // first sample of best
	most     float64
}

// New returns a meter for samples at a rate of 500 to 1000 Hz, as spectrum.Meter.Tap
// gives them.
func New(rate float64, channels int) *Meter {
	m := &Meter{rate: rate, channels: channels, perSum: int(rate)}
	m.sums = make([]float64, int(Seconds))
	m.ring = make([]float32, len(m.sums)*m.perSum)
	m.best = make([]float32, 0, len(m.ring))
	return m
}

// Write takes samples of channel c. Every channel comes in turn, with as many.
func (m *Meter) Write(c int, x []float32) {
	if c == 0 {
		m.mixed = append(m.mixed[:0], x...)
	} else {
		for i, v := range x[:min(len(x), len(m.mixed))] {
			m.mixed[i] += v
		}
	}
	if c < m.channels-1 {
		return
	}
	scale := 1 / float32(m.channels)
	for _, v := range m.mixed {
		v *= scale
		m.ring[m.n%int64(len(m.ring))] = v
		m.n++
		m.sum += float64(v) * float64(v)
		if m.n%int64(m.perSum) == 0 {
			m.second()
		}
	}
}

// second ends a second: where the last 30 have more power than any before, they are kept.
func (m *Meter) second() {
	i := m.n/int64(m.perSum) - 1
	m.sums[i%int64(len(m.sums))] = m.sum
	m.sum = 0
	if i+1 < int64(len(m.sums)) {
		return
	}
	total := 0.0
	for _, s := range m.sums {
		total += s
	}
	if total > fuller*m.most {
		m.most = total
		m.keep()
	}
}

// keep copies the ring.
func (m *Meter) keep() {
	n := min(m.n, int64(len(m.ring)))
	m.from = m.n - n
	at := int(m.from % int64(len(m.ring)))
	m.best = append(m.best[:0], m.ring[at:min(int64(at)+n, int64(len(m.ring)))]...)
	m.best = append(m.best, m.ring[:int(n)-len(m.best)]...)
}

// kept is the part to look at and where it begins, in seconds.
func (m *Meter) kept() ([]float32, float64) {
	if len(m.best) == 0 {
		m.keep()
	}
	return m.best, float64(m.from) / m.rate
}
