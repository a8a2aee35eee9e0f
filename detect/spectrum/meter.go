// Package spectrum measures third-octave levels (IEC 61260-1 base-ten centres,
// 20 Hz to 20 kHz), the long-term spectrum and the bandwidth of a track, and
// for package lowend the powers of the lowest octaves.
//
// Levels are 10 log10 of the mean power summed over the channels, full scale
// being 1: a full-scale sine reads -3.01 dB in one channel and 0 dB in both.
// What does not exist, such as the level of silence, is NaN. Bands are sums of
// bins of a Fourier transform, bins on a limit shared in proportion; no class
// of IEC 61260-1 is claimed.
//
// Two transforms share the work. Above 562 Hz frames of about 45 ms (bins of
// 12 to 24 Hz) overlap by a quarter. Below, the signal is decimated to 1.5 to 3
// kHz and frames of 0.7 to 1.4 s (bins of 0.7 to 1.5 Hz) overlap by half. Means are kept for every
// step of half such a frame, about 350 bytes a second, so that any window can
// be asked for afterwards; its limits are exact to a fraction of a step.
package spectrum

import "math"

// Sizes of the transforms.
const (
	shortBinHz = 24.0   // widest bin of the short frames, a sixth of the 630 Hz band
	lowRate    = 3000.0 // highest rate after decimation, hertz
	lowSize    = 2048   // bins of at most 1.46 Hz, a third of the 20 Hz band
	taperShare = 4      // tapers of the short frames are a quarter of them
)

// Meter measures one track. Write everything, then ask for results.
type Meter struct {
	rate     float64
	channels int
	written  int64 // samples a channel
	ended    bool

	short *short
	low   *low
	step  int64 // samples a step
}

// New returns a meter for a rate in hertz, 8000 or more, and 1 to 8 channels.
func New(rate, channels int) *Meter {
	factor := 2
	for float64(rate)/float64(factor) > lowRate {
		factor *= 2
	}
	m := &Meter{rate: float64(rate), channels: channels, step: int64(lowSize / 2 * factor)}
	m.short = newShort(m.rate, channels, m.step)
	m.low = newLow(m.rate, channels, factor)
	return m
}

// Write takes the next samples of the track: block[c][i] is sample i of
// channel c. The block is not kept.
func (m *Meter) Write(block [][]float32) {
	if m.channels == 0 || len(block[0]) == 0 {
		return
	}
	m.short.write(block)
	m.low.write(block)
	m.written += int64(len(block[0]))
}

// end completes the last frames; nothing can be written after it.
func (m *Meter) end() {
	if m.ended || m.written == 0 {
		return
	}
	m.ended = true
	m.short.end(m.written)
	m.low.end(m.written)
}

// Whole gives the level of each band over the whole track, in dB.
func (m *Meter) Whole() []float64 { return m.Over(0, math.Inf(1)) }

// Over gives the level of each band between two times in seconds, in dB. Bands
// wholly above half the sample rate are NaN.
func (m *Meter) Over(from, to float64) []float64 {
	m.end()
	levels := make([]float64, Bands)
	short, low := m.short.means.over(m.span(from, to)), m.low.means.over(m.span(from, to))
	for b := range levels {
		if b < split {
			levels[b] = decibels(low[b])
		} else {
			levels[b] = decibels(short[b-split])
		}
	}
	return levels
}

// LowPowers are the mean powers that package lowend compares, summed over the
// channels, full scale being 1.
type LowPowers struct {
	Sub   float64 // 20 to 60 Hz
	Bass  float64 // 60 to 150 Hz
	Above float64 // 150 Hz to 20 kHz
	// Full and Mono are over 20 to 150 Hz and leave out the low-frequency
	// channel of files with 6 to 8 channels: the power of the n remaining
	// ones, and n times that of their mean.
	Full, Mono float64
}

// LowPowers gives those powers between two times in seconds.
func (m *Meter) LowPowers(from, to float64) LowPowers {
	m.end()
	short, low := m.short.means.over(m.span(from, to)), m.low.means.over(m.span(from, to))
	return LowPowers{
		Sub: low[lowSub], Bass: low[lowBass], Above: low[lowAbove] + short[shortAbove],
		Full: low[lowFull], Mono: low[lowMono],
	}
}

// span turns seconds into steps within the track.
func (m *Meter) span(from, to float64) (float64, float64) {
	end := float64(m.written)
	return min(max(0, from*m.rate), end) / float64(m.step), min(max(0, to*m.rate), end) / float64(m.step)
}

// LongTerm gives the power spectral density of the whole track, summed over
// the channels, full scale squared per hertz; psd[k] is at k*binHz up to half
// the sample rate. It is nil for a track without audio.
func (m *Meter) LongTerm() (psd []float64, binHz float64) {
	m.end()
	return m.short.longTerm()
}

func decibels(power float64) float64 {
	if !(power > 0) {
		return math.NaN()
	}
	return 10 * math.Log10(power)
}

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
