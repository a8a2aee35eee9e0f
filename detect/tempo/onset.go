package tempo

import (
	"math"

	"dubgauge/detect/dsp"
	"dubgauge/detect/dsp/fourier"
)

// The onset curve is that of Percival and Tzanetakis (2014), "Streamlined tempo
// estimation based on autocorrelation and cross-correlation with pulses", IEEE
// TASLP 22(12): log-compressed magnitudes, half-wave rectified differences;
// summed here in bands first.
const (
	// frameSeconds is the length of a spectrum: 512 samples at 22.05 kHz, short
	// enough to tell sixteenths at 200 BPM (75 ms) apart.
	frameSeconds = 512 / 22050.0
	// hopSeconds is the step between spectra: 172 a second.
	hopSeconds = 128 / 22050.0
	// analysisRate is what higher rates are halved down to, in hertz, at the
	// least: hi-hats and the attack of drums are heard well below 11 kHz.
	analysisRate = 22050
	// logGain is Percival and Tzanetakis's: log(1 + 1000 |X| / n).
	logGain = 1000
	// bandCount log-spaced bands lie between bandLow and bandHigh, in hertz.
	bandCount = 24
	bandLow   = 30
	bandHigh  = 10000
	// leastRise is how much the mean logarithm of a band must rise over the
	// difference to count, in nepers: 0.4 dB in 12 ms. It keeps out the ripple
	// that sidelobes leave of a steady tone.
	leastRise = 0.05
	// diffFrames is the distance of the difference, two hops or 12 ms.
	diffFrames = 2
)

// The three parts of the onset curve, by the upper edge of their bands in
// hertz: kick and bass; snare, voices and chords; cymbals.
const (
	low = iota
	mid
	high
	parts

	lowTop = 180
	midTop = 5000
)

// mixOdd is the weight of the second channel in the mono mix. It is not 1 so
// that a track with one channel inverted does not vanish.
const mixOdd = 0.7

// halfBandPairs is the number of pairs of taps of the half-band filter: more than 40 dB
// against aliases of the top octave's upper half, enough for an onset curve, at four
// multiplications a sample.
const halfBandPairs = 4

// blockSamples is how much is taken in at a time.
const blockSamples = 1024

// frontEnd turns samples into the onset curve.
type frontEnd struct {
	channels int
	halvers  []*dsp.Halver[float32]
	rate     float64 // after halving, in hertz
	mix      [2][]float32
	frame    []float32 // samples that wait for their spectrum
	n, hop   int
	spec     *fourier.Power
	window   []float32
	power    []float32
	edges    []int // bandCount+1 bins
	bassEnd  int   // the bin that ends the bass
	part     []int // of each band
	last     [diffFrames][]float64
	at       int
	curve    curve
	fine     envelope
	bass     envelope // the magnitude below bassTop, a value a spectrum
	levels   levels
}

func newFrontEnd(rate, channels int) *frontEnd {
	f := &frontEnd{channels: channels, rate: float64(rate)}
	for f.rate/2 >= analysisRate {
		f.halvers = append(f.halvers, dsp.NewHalver[float32](dsp.HalfBand(halfBandPairs, dsp.Hamming), blockSamples))
		f.rate /= 2
	}
	f.mix[0], f.mix[1] = make([]float32, 0, blockSamples+1), make([]float32, 0, blockSamples+1)
	f.n = 1 << int(math.Round(math.Log2(f.rate*frameSeconds)))
	f.hop = max(1, int(math.Round(f.rate*hopSeconds)))
	f.spec = fourier.NewPower(f.n)
	f.power = make([]float32, f.n/2)
	f.window = hann(f.n)
	f.frame = make([]float32, f.n-f.hop, f.n+blockSamples+1) // silence before the track
	f.setBands()
	for i := range f.last {
		f.last[i] = make([]float64, len(f.part))
	}
	f.curve.step = float64(f.hop) / f.rate
	f.curve.start = f.delay()
	f.fine.init(f.rate)
	f.bass = envelope{step: f.curve.step, limit: int(fineLength / f.curve.step)}
	f.levels.init(f.part, f.hop, f.rate)
	return f
}

// hann scales the window so that the power spectrum holds (logGain |X| / n)^2.
func hann(n int) []float32 {
	w := make([]float32, n)
	for i := range w {
		w[i] = float32(dsp.Hann(float64(i)+0.5, float64(n)) * logGain / float64(n))
	}
	return w
}

// setBands lays the bands over the bins; where a band would be narrower than a
// bin it takes the bin, so there may be fewer.
func (f *frontEnd) setBands() {
	top := math.Min(bandHigh, 0.95*f.rate/2)
	width := f.rate / float64(f.n)
	f.bassEnd = max(2, int(math.Round(bassTop/width))+1)
	f.edges = []int{1}
	for b := range bandCount {
		edge := int(math.Round(bandLow * math.Pow(top/bandLow, float64(b+1)/bandCount) / width))
		if edge = min(edge, f.n/2); edge <= f.edges[len(f.edges)-1] {
			continue
		}
		f.edges = append(f.edges, edge)
		part := high
		switch centre := (float64(edge) + float64(f.edges[len(f.edges)-2])) / 2 * width; {
		case centre < lowTop:
			part = low
		case centre < midTop:
			part = mid
		}
		f.part = append(f.part, part)
	}
}

// delay is the time in the track, in seconds, of the middle of what the first
// value of the onset curve is taken from. The first spectrum ends hop samples
// into the track (the halvers have no delay, as they look ahead), and a
// difference belongs to the middle between its two spectra.
func (f *frontEnd) delay() float64 {
	return (float64(f.hop) - float64(f.n)/2 - diffFrames*float64(f.hop)/2) / f.rate
}

func (f *frontEnd) write(block [][]float32) {
	for i := 0; i < len(block[0]); i += blockSamples {
		x := f.mono(block, i, min(i+blockSamples, len(block[0])))
		for k, h := range f.halvers {
			x = h.Write(f.mix[(k+1)%2], x)
		}
		f.fine.write(x)
		f.take(x)
	}
}

// mono mixes the samples from one to another, as mixOdd says.
func (f *frontEnd) mono(block [][]float32, from, to int) []float32 {
	scale := 1 / (float32((f.channels+1)/2) + mixOdd*float32(f.channels/2))
	x := f.mix[0][:to-from]
	left := block[0][from:to]
	if f.channels == 2 {
		right := block[1][from:to][:len(x)]
		for i, v := range left[:len(x)] {
			x[i] = (v + mixOdd*right[i]) * scale
		}
		return x
	}
	copy(x, left)
	for c := 1; c < f.channels; c++ {
		gain := float32(1)
		if c%2 == 1 {
			gain = mixOdd
		}
		for i, v := range block[c][from:to] {
			x[i] += gain * v
		}
	}
	for i := range x {
		x[i] *= scale
	}
	return x
}

// take cuts the halved signal into frames.
func (f *frontEnd) take(x []float32) {
	f.frame = append(f.frame, x...)
	i := 0
	for ; i+f.n <= len(f.frame); i += f.hop {
		f.spec.Do(f.power, f.frame[i:i+f.n], f.window)
		f.bass.append(magnitude(f.power[f.edges[0]:f.bassEnd]))
		f.onset()
	}
	f.frame = f.frame[:copy(f.frame, f.frame[i:])]
}

// onset appends one value of the curve. The sum of log(1+|X|) over a band is
// taken as the logarithm of the product.
func (f *frontEnd) onset() {
	last := f.last[f.at]
	f.at = (f.at + 1) % diffFrames
	var sum [parts]float32
	for b, part := range f.part {
		bins := f.power[f.edges[b]:f.edges[b+1]]
		v := logSum(bins) / float64(len(bins))
		if d := v - last[b] - leastRise; d > 0 {
			sum[part] += float32(d)
		}
		last[b] = v
		f.levels.add(b, v)
	}
	f.levels.next()
	f.curve.append(sum)
}

// logSum is the sum of log(1+|X|) over bins, as the logarithm of a product.
// Eight factors at a time do not overflow, whatever float32 holds.
func logSum(bins []float32) float64 {
	sum := 0.0
	for ; len(bins) > 8; bins = bins[8:] {
		sum += dsp.Log(onePlus(bins[:8]))
	}
	return sum + dsp.Log(onePlus(bins))
}

func onePlus(bins []float32) float64 {
	product := 1.0
	for _, p := range bins {
		if p > math.MaxFloat32 {
			p = math.MaxFloat32
		}
		product *= 1 + math.Sqrt(float64(p))
	}
	return product
}

// magnitude is the root of the sum of the powers.
func magnitude(bins []float32) float32 {
	sum := 0.0
	for _, p := range bins {
		sum += float64(p)
	}
	return float32(math.Sqrt(min(sum, math.MaxFloat32)))
}
