// Package truepeak measures the true peak of a track: the highest magnitude
// that the continuous signal behind the samples reaches, by Recommendation
// ITU-R BS.1770-5 annex 2, in dBTP (dB relative to full scale).
//
// The signal is interpolated 8 times and the peak between those points is
// found by a parabola; the interpolator is flat to 0.98 of half the sample
// rate. (White noise clipped at 44.1 kHz, which has as much above 21.7 kHz as
// anywhere, is under-read by up to 0.25 dB.) What stands before the first and after the last sample is silence,
// and the ringing into it counts.
//
// Only where a new highest peak can be is anything interpolated; see bounds.
// Where it can, quarter samples decide first, by a theorem: around the highest
// magnitude P of a signal without content above half the sample rate,
//
//	|x(t)| >= P cos(pi (t - tPeak)),  t in samples, |t - tPeak| <= 1/2
//
// (Duffin and Schaeffer 1938; BS.1770-5 attachment 1 to annex 2 has its table
// of under-reads from the same cosine). A test compares the outcome with that
// of interpolating everything.
package truepeak

import "math"

const (
	// chunk is the number of samples of a channel gathered before they are
	// looked at. Its place does not depend on the blocks written.
	chunk = 4096
	// span is the number of samples under one bound.
	span = 16
	// margin is what is kept before and after the intervals examined: half a
	// filter and a sample for the neighbours of a peak, in whole spans.
	margin = (halfTaps/span + 1) * span
)

// Meter measures one track. Write everything, then ask for the Result.
type Meter struct {
	rate     float64
	channels [][]float32 // each margin + chunk + margin samples
	fill     int         // samples in each of them
	start    int64       // place in the track of their first sample
	kernel   *kernel
	bounds   *bounds
	extents  extents // of each span of the channel at hand
	levels   Levels

	peak, samplePeak float32
	at               float64 // samples from the start of the track
	written          int64   // samples a channel
	ended            bool
}

// Result is the outcome over all channels.
type Result struct {
	TruePeak   float64 // dBTP; NaN for silence
	SamplePeak float64 // dBFS; NaN for silence
	At         float64 // seconds at which the true peak is reached; NaN for silence
}

// New returns a meter for a rate in hertz.
func New(rate, channels int) *Meter {
	m := &Meter{rate: float64(rate), kernel: newKernel(), bounds: newBounds(), fill: margin, start: -margin}
	for range channels {
		m.channels = append(m.channels, make([]float32, chunk+2*margin))
	}
	m.extents = make(extents, (chunk+2*margin)/span)
	m.levels = newLevels(rate)
	return m
}

// Write takes the next samples of the track: block[c][i] is sample i of
// channel c, full scale being 1. The block is not kept.
func (m *Meter) Write(block [][]float32) {
	if len(m.channels) == 0 {
		return
	}
	for from, n := 0, len(block[0]); from < n; {
		took := 0
		for c, buf := range m.channels {
			took = copy(buf[m.fill:], block[c][from:])
		}
		from += took
		m.fill += took
		m.written += int64(took)
		if m.fill == len(m.channels[0]) {
			m.examine()
		}
	}
}

// Result measures what has been written. Nothing can be written after it.
func (m *Meter) Result() Result {
	m.finish()
	if m.peak == 0 {
		return Result{math.NaN(), math.NaN(), math.NaN()}
	}
	return Result{decibels(m.peak), decibels(m.samplePeak), max(0, m.at/m.rate)}
}

func decibels(magnitude float32) float64 { return 20 * math.Log10(float64(magnitude)) }

// finish takes in what has been written, once.
func (m *Meter) finish() {
	if !m.ended {
		m.ended = true
		m.flush()
	}
}

// flush lets the last samples ring out into silence.
func (m *Meter) flush() {
	for range 2 {
		for _, buf := range m.channels {
			clear(buf[m.fill:])
		}
		m.examine()
	}
}

// examine looks at the gathered samples of every channel and keeps the end of
// them as the beginning of the next.
func (m *Meter) examine() {
	for _, buf := range m.channels {
		m.scan(buf)
		m.levels.raise(m.extents, buf, m.samplePeak)
	}
	m.levels.put()
	for _, buf := range m.channels {
		copy(buf, buf[chunk:])
	}
	m.start += chunk
	m.fill = 2 * margin
}
