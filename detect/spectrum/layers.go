package spectrum

import "dubgauge/detect/dsp"

// deepSplit is the first band of the middle layer; those below are the deep
// layer's.
const deepSplit = 10 // 200 Hz

// Values of each step of the deep layer: its bands, then these, then with two channels
// the bands of their difference.
const (
	deepSub   = deepSplit + iota
	deepBass  // up to bassTo
	deepAbove // from there up, fading out where the middle layer fades in
	deepFull
	deepMono
	deepWidth
)

// Values of each step of the middle layer: its bands, then this, then with two channels
// the bands of their difference.
const (
	midAbove = split - deepSplit + iota
	midWidth
)

// newDeep makes the layer for all that lies below 178 Hz.
func newDeep(rate float64, channels, factor int, gain func(hz float64) float64) *layer {
	binHz, last := rate/deepSize, deepSize/2
	sums := bandSums(0, deepSplit, binHz, last)
	sums = append(sums, newSum(subFrom, subTo, binHz, last, flat), newSum(subTo, bassTo, binHz, last, flat),
		newSum(bassTo, joinTo, binHz, last, func(hz float64) float64 { return 1 - fade(hz, bassTo, joinTo) }))
	l := newLayer(hann(deepSize), deepHop, binHz, channels, factor, sums, gain)
	l.keep(deepWidth, deepSplit)
	l.mix = &mix{full: make([]float64, len(l.bins)), mono: make([]float64, len(l.bins))}
	l.mix.sum = newSum(subFrom, bassTo, binHz, last, flat)
	for c := range channels {
		if channels < 6 || c != lowFrequencyChannel {
			l.mix.mains = append(l.mix.mains, c)
		}
	}
	return l
}

// newMid makes the layer from there to 562 Hz.
func newMid(rate float64, channels, factor int, gain func(hz float64) float64) *layer {
	binHz, last := rate/lowSize, lowSize/2
	sums := bandSums(deepSplit, split, binHz, last)
	sums = append(sums, newSum(bassTo, fadeTo, binHz, last, func(hz float64) float64 {
		return fade(hz, bassTo, joinTo) * (1 - fade(hz, fadeFrom, fadeTo))
	}))
	l := newLayer(tapered(lowSize, lowSize/2, dsp.SineTaper), lowSize/2, binHz, channels, factor, sums, gain)
	l.keep(midWidth, split-deepSplit)
	return l
}

// bandSums are the sums of the bands from one up to another.
func bandSums(from, to int, binHz float64, last int) []sum {
	var sums []sum
	for b := from; b < to; b++ {
		low, high := Edges(b)
		sums = append(sums, newSum(low, high, binHz, last, flat))
	}
	return sums
}

// hann is the raised cosine of n samples. Its skirts fall by 18 dB an octave,
// where those of a sine fall by 12 and keep the lowest bands outside class 1.
// The squares of four that overlap by three quarters add up to 3/2.
func hann(n int) []float32 {
	w := make([]float32, n)
	for i := range w {
		w[i] = float32(dsp.Hann(float64(i)+0.5, float64(n)))
	}
	return w
}
