package spectrum

import "dubgauge/detect/dsp"

// Values that the long frames give for each step: the bands below split, then
// these.
const (
	lowSub = split + iota
	lowBass
	lowAbove // 150 Hz up, fading out where the short frames fade in
	lowFull
	lowMono
	lowWidth
)

// low is the transform of the decimated signal for the lower bands.
type low struct {
	frames *frames
	first  []*dsp.Decimator // a channel each
	second []*dsp.Halver[float32]
	halved []float32
	pieces [][]float32 // decimated samples of each channel, waiting for the others
	factor int
	means  means
	sums   [lowWidth]sum
	gain   []float64 // 1 over the power gain of the decimators at each bin
	bins   []float64 // power of each bin
	full   []float64 // without the low-frequency channel
	mono   []float64
	mains  []int // channels but the low-frequency one
	whole  float64
	length int64 // of the decimated track; huge until it is known
}

// The decimators: a running mean down to twice the rate of the frames, then a half-band
// filter.
const (
	// boxcarOrder is how often the mean is taken: what folds onto the bottom 150 Hz is
	// then 120 dB down, onto 560 Hz 75 dB.
	boxcarOrder = 4
	// The half-band filter of 31 taps passes 562 Hz and stops what would fold onto it by
	// 80 dB at the lowest rate it runs at.
	halfBandPairs = 8
	halfBandBeta  = 8.0 // Kaiser, 80 dB
)

// lowFrequencyChannel is where files of 6 to 8 channels keep the channel for
// low-frequency effects (order of WAVEFORMATEXTENSIBLE).
const lowFrequencyChannel = 3

func newLow(rate float64, channels, factor int) *low {
	l := &low{factor: factor, halved: make([]float32, dsp.Gathered), means: means{width: lowWidth}, length: 1 << 62}
	l.frames = newFrames(lowSize, lowSize/2, dsp.SineTaper, channels, lowSize/4, l.take)
	l.whole = l.frames.weight(0, l.length)
	l.pieces = make([][]float32, channels)
	boxcar := dsp.Boxcar(factor/2, boxcarOrder)
	halfBand := dsp.HalfBand(halfBandPairs, func(x float64) float64 { return dsp.Kaiser(x, halfBandBeta) })
	for c := range channels {
		l.first = append(l.first, dsp.NewDecimator(boxcar, factor/2))
		l.second = append(l.second, dsp.NewHalver[float32](halfBand, dsp.Gathered))
		l.pieces[c] = make([]float32, 0, lowSize)
		if channels < 6 || c != lowFrequencyChannel {
			l.mains = append(l.mains, c)
		}
	}
	binHz := rate / float64(factor) / lowSize
	l.setSums(binHz)
	n := int(fadeTo/binHz) + 2
	l.bins, l.full, l.mono, l.gain = make([]float64, n), make([]float64, n), make([]float64, n), make([]float64, n)
	for k := range l.gain {
		hz := float64(k) * binHz
		in := rate / float64(factor/2)
		l.gain[k] = 1 / (dsp.Response(boxcar, hz/rate) * dsp.HalfBandResponse(halfBand, hz/in))
	}
	return l
}

func (l *low) setSums(binHz float64) {
	for b := range split {
		from, to := Edges(b)
		l.sums[b] = newSum(from, to, binHz, lowSize/2, flat)
	}
	l.sums[lowSub] = newSum(subFrom, subTo, binHz, lowSize/2, flat)
	l.sums[lowBass] = newSum(subTo, bassTo, binHz, lowSize/2, flat)
	l.sums[lowAbove] = newSum(bassTo, fadeTo, binHz, lowSize/2, func(hz float64) float64 { return 1 - fade(hz) })
	l.sums[lowFull] = newSum(subFrom, bassTo, binHz, lowSize/2, flat)
}

// write decimates the block. Channels come out equally long, as they go in.
func (l *low) write(block [][]float32) {
	const most = dsp.Gathered // of input at a time, so that pieces stay bounded
	for from, n := 0, len(block[0]); from < n; from += most {
		to := min(n, from+most)
		for c := range l.pieces {
			l.first[c].Write(block[c][from:to], func(x []float32) {
				l.pieces[c] = append(l.pieces[c], l.second[c].Write(l.halved, x)...)
			})
		}
		l.frame()
	}
}

// frame moves the decimated samples into frames.
func (l *low) frame() {
	for n := len(l.pieces[0]); n > 0; n = len(l.pieces[0]) {
		take := min(n, l.frames.room())
		for c, x := range l.pieces {
			l.frames.put(c, x[:take])
			l.pieces[c] = x[:copy(x, x[take:])]
		}
		l.frames.advance(take)
	}
}

// take stores the means of one frame, which is one step.
func (l *low) take(start int64) {
	if start+lowSize/4 >= l.length {
		return
	}
	w := l.whole
	if start < 0 || start+lowSize > l.length {
		w = l.frames.weight(start, l.length)
	}
	l.powers(1 / (lowSize * w))
	var out [lowWidth]float64
	for i := range l.sums {
		out[i] = l.sums[i].of(l.bins)
	}
	out[lowFull] = l.sums[lowFull].of(l.full)
	out[lowMono] = l.sums[lowFull].of(l.mono)
	l.means.add(out[:])
}

// powers fills bins, full and mono.
//
//	P[k] = 2 sum over channels of |X[k]|^2 / (N W)
//	mono = 2 |sum over channels of X[k]|^2 / (n N W)
func (l *low) powers(scale float64) {
	var x [8]complex64
	for k := range l.bins {
		for p := range l.frames.output {
			x[2*p], x[2*p+1] = l.frames.pair(p, k)
		}
		g := 2 * scale * l.gain[k]
		all, full := 0.0, 0.0
		for _, v := range x {
			all += squared(v)
		}
		var mix complex64
		for _, c := range l.mains {
			full += squared(x[c])
			mix += x[c]
		}
		l.bins[k], l.full[k], l.mono[k] = g*all, g*full, g*squared(mix)/float64(len(l.mains))
	}
}

func squared(v complex64) float64 {
	re, im := float64(real(v)), float64(imag(v))
	return re*re + im*im
}

// end lets the decimators run out and completes the frames that the track
// reaches into.
func (l *low) end(length int64) {
	l.length = (length + int64(l.factor) - 1) / int64(l.factor)
	silence := make([][]float32, len(l.pieces))
	zeros := make([]float32, 2*lowSize*l.factor)
	for c := range silence {
		silence[c] = zeros
	}
	l.write(silence)
}
