package key

import (
	"math"

	"dubgauge/detect/dsp"
	"dubgauge/detect/dsp/fourier"
)

const (
	// frameSeconds is the length of a frame. Two tones a semitone apart are
	// told from each other where the semitone is wider than the main lobe of
	// the Hann window, 4 / 0.37 s = 11 Hz: from F#3 up; single tones are placed
	// to a fraction of a bin anywhere. Longer frames mix the eighths of a bass line.
	frameSeconds = 0.3715
	// hopSeconds is the distance between frames: half overlap.
	hopSeconds = frameSeconds / 2
	// bottomHz and topHz bound the peaks that are looked at: from the lowest
	// B of a five-string bass to the range of the published front ends
	// (25-3500 Hz), above which there are only overtones.
	bottomHz = 30
	topHz    = 3500
	// A peak's surroundings, which it is measured against, reach this far to
	// either side: the larger of a width in hertz and a share of its frequency.
	// Half as wide, the partials of one bass note raise each other's floor.
	floorHz    = 200
	floorShare = 0.5
	// topShare is how far the spectrum is looked at above the highest peak, as a share of
	// its frequency; the surroundings of the highest end there.
	topShare = 0.15
	// A peak counts from tonalRatio over its surroundings: noise has maxima of
	// 2 to 3 times its own mean amplitude. A snare lies over half of the frames of a
	// dance track, and at 3 hid the chords beneath it; the maxima of the noise itself
	// come at any pitch and even out. The weight grows as the logarithm of the ratio, up
	// to ratioCap, where all that is left is a single tone.
	tonalRatio = 2.0
	ratioCap   = 200
	// peakRangeDB and faintest bound the peaks from below: under the frame's
	// strongest, and as an amplitude where full scale is 1 (dither of 16 bits
	// is a hundred times lower in one bin).
	peakRangeDB = 50
	faintest    = 1e-5
)

// peak is a tonal maximum of a frame's spectrum.
type peak struct {
	hz     float64
	weight float64 // 0 to log(ratioCap/tonalRatio)
}

// analyser finds the tonal peaks of one frame.
type analyser struct {
	fft      *fourier.Real
	window   []float64
	windowed []float64
	coeff    []complex128
	amp      []float64 // amplitude of each bin; a full-scale sine has 1
	roots    []float64 // running sum of the square roots of amp
	peaks    []peak
	binHz    float64
	lo, hi   int                // first and last bin to look at
	ends     [bandCount]int     // where the bands end, in bins
	power    [bandCount]float64 // of the frame in each band, a full-scale sine having some 1.5
}

// newAnalyser makes an analyser of frames at the given rate in hertz.
func newAnalyser(rate float64) *analyser {
	n := fourier.FastLength(int(frameSeconds * rate))
	a := &analyser{
		fft:      fourier.NewReal(n),
		window:   make([]float64, n),
		windowed: make([]float64, n),
		coeff:    make([]complex128, n/2+1),
		binHz:    rate / float64(n),
	}
	// Hann, scaled so that a sine's amplitude is that of its bin.
	for i := range a.window {
		a.window[i] = 4 * dsp.Hann(float64(i), float64(n)) / float64(n)
	}
	a.lo = max(int(bottomHz/a.binHz), 1)
	a.hi = min(int(topHz/a.binHz), n/2-2)
	reach := min(int((1+topShare)*float64(a.hi))+2, n/2+1)
	a.amp = make([]float64, reach)
	a.roots = make([]float64, reach+1)
	a.peaks = make([]peak, 0, (a.hi-a.lo)/2+1)
	for i, hz := range bandEnds {
		a.ends[i] = min(int(hz/a.binHz), reach)
	}
	return a
}

// around is how many bins a peak's surroundings reach to either side.
func (a *analyser) around(bin int) float64 {
	return max(floorHz/a.binHz, floorShare*float64(bin))
}

// analyse returns the peaks of a frame in ascending order; they are valid
// until the next call.
//
// The weight of a peak of amplitude A is
//
//	w = log(min(q, ratioCap) / tonalRatio),  q = A / m^2
//
// with m the mean of the square roots of the amplitudes around it, a mean
// that a few strong partials move little. Dividing by the surroundings is the
// whitening: a tone counts by how far it stands out, not by how loud it is, and
// the maxima of noise (hats, snares, hiss) do not count.
func (a *analyser) analyse(frame []float64) []peak {
	for i, w := range a.window {
		a.windowed[i] = frame[i] * w
	}
	a.fft.Do(a.coeff, a.windowed)
	for i := range a.amp {
		c := a.coeff[i]
		a.amp[i] = math.Sqrt(real(c)*real(c) + imag(c)*imag(c))
		a.roots[i+1] = a.roots[i] + math.Sqrt(a.amp[i])
	}
	strongest := 0.0
	for _, v := range a.amp[a.lo : a.hi+1] {
		strongest = max(strongest, v)
	}
	a.measureBands()
	least := max(strongest*math.Pow(10, -peakRangeDB/20.0), faintest)
	a.peaks = a.peaks[:0]
	for b := a.lo; b <= a.hi; b++ {
		v := a.amp[b]
		if v < least || v <= a.amp[b-1] || v < a.amp[b+1] {
			continue
		}
		if q := v / a.floor(b); q > tonalRatio {
			a.peaks = append(a.peaks, peak{a.refine(b), math.Log(min(q, ratioCap) / tonalRatio)})
		}
	}
	return a.peaks
}

// measureBands sums up the power of each band.
func (a *analyser) measureBands() {
	from := 0
	for i, to := range a.ends {
		a.power[i], from = power(a.amp[from:to]), to
	}
}

// power is the sum of squares, of four at a time, that need not wait for each other.
func power(x []float64) float64 {
	var s, t, u, v float64
	for ; len(x) >= 4; x = x[4:] {
		s += x[0] * x[0]
		t += x[1] * x[1]
		u += x[2] * x[2]
		v += x[3] * x[3]
	}
	for _, y := range x {
		s += y * y
	}
	return s + t + u + v
}

// floor is the amplitude of the surroundings of a bin.
func (a *analyser) floor(bin int) float64 {
	reach := int(a.around(bin))
	from, to := max(bin-reach, 0), min(bin+reach+1, len(a.amp))
	m := (a.roots[to] - a.roots[from]) / float64(to-from)
	return m * m
}

// refine gives the frequency in hertz of the maximum at bin b: the top of the
// parabola through the logarithms of the three amplitudes.
func (a *analyser) refine(b int) float64 {
	// Logarithms over that of the middle, of which two are enough.
	l, r := math.Log((a.amp[b-1]+1e-12)/a.amp[b]), math.Log((a.amp[b+1]+1e-12)/a.amp[b])
	return (float64(b) + 0.5*(l-r)/(l+r)) * a.binHz
}
