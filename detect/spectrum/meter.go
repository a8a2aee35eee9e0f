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
// Three transforms share the work. Above 562 Hz frames of about 45 ms (bins of
// 12 to 24 Hz) overlap by a quarter. Below, the signal is decimated to 1.5 to 3
// kHz and frames of 0.7 to 1.4 s (bins of 0.7 to 1.5 Hz) overlap by half. Below
// 178 Hz it is decimated again to 0.5 to 1 kHz and frames of 2 to 4 s (3.0 at
// 44.1 kHz, 2.7 at 48; bins of 0.24 to 0.49 Hz) overlap by three quarters. For
// steady sines the bands from 20 to 500 Hz keep within the limits of class 1
// (tests); that is less than the standard asks of an instrument, and the bands
// above are not held against them. A part 30 dB below its neighbours is
// read right to 1 dB where those keep 1 Hz away from the limit, at 44.1 kHz and
// above.
//
// Means are kept for every step, half a frame in the upper layers and a quarter
// in the lowest, about 350 bytes a second and 550 with two channels, so that any window can be asked for
// afterwards; its limits are exact to a fraction of a step.
package spectrum

import "math"

// Sizes of the transforms.
const (
	shortBinHz = 24.0   // widest bin of the short frames, a sixth of the 630 Hz band
	lowRate    = 3000.0 // highest rate after decimation, hertz
	lowSize    = 2048   // bins of at most 1.46 Hz, a thirtieth of the 200 Hz band

	// The deep layer's highest rate in hertz, its frames and their distance. A band's
	// skirt is as wide as the window's main lobe, two bins or 0.7 Hz at 44.1 kHz: an
	// eighth of the 20 Hz band. Frames twice as long would halve that and blur limits of
	// windows by more than a second.
	deepRate   = 1000.0
	deepSize   = 2048
	deepHop    = deepSize / 4 // the least overlap at which squared Hann windows add up evenly and the length divides
	taperShare = 4            // tapers of the short frames are a quarter of them
)

// Meter measures one track. Write everything, then ask for results.
type Meter struct {
	rate     float64
	channels int
	written  int64 // samples a channel
	ended    bool

	short *short
	low   *low
}

// New returns a meter for a rate in hertz, 8000 or more, and 1 to 8 channels.
func New(rate, channels int) *Meter {
	m := &Meter{rate: float64(rate), channels: channels}
	m.low = newLow(m.rate, channels)
	m.short = newShort(m.rate, channels, int64(m.low.mid.step()))
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

// Tap calls f with the samples that the lowest layer works on, of each channel in turn,
// equally many, and gives their rate in hertz, 500 to 1000: flat up to 178 Hz and not
// late. x is valid during the call only. It must be called before the first Write.
func (m *Meter) Tap(f func(c int, x []float32)) (rate float64) {
	m.low.tap = f
	return m.rate / float64(m.low.deep.factor)
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
	deep, mid, short := m.over(from, to)
	for b := range levels {
		switch {
		case b < deepSplit:
			levels[b] = decibels(deep[b])
		case b < split:
			levels[b] = decibels(mid[b-deepSplit])
		default:
			levels[b] = decibels(short[b-split])
		}
	}
	return levels
}

// over gives the mean of each value of the three transforms between two times.
func (m *Meter) over(from, to float64) (deep, mid, short []float64) {
	l := m.low
	return l.deep.means.over(m.span(from, to, l.deep.step())), l.mid.means.over(m.span(from, to, l.mid.step())),
		m.short.means.over(m.span(from, to, float64(m.short.step)))
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
	deep, mid, short := m.over(from, to)
	return LowPowers{
		Sub: deep[deepSub], Bass: deep[deepBass], Above: deep[deepAbove] + mid[midAbove] + short[shortAbove],
		Full: deep[deepFull], Mono: deep[deepMono],
	}
}

// span turns seconds into steps of that many samples within the track.
func (m *Meter) span(from, to, step float64) (float64, float64) {
	end := float64(m.written)
	return min(max(0, from*m.rate), end) / step, min(max(0, to*m.rate), end) / step
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
