package spectrum

import (
	"math"

	"dubgauge/detect/dsp"
)

// low carries the bands below split: the signal is decimated once for the
// middle layer and again for the deep one.
type low struct {
	first    []*dsp.Decimator // a channel each
	second   []*dsp.Halver[float32]
	further  [][]*dsp.Halver[float32]
	halved   [2][]float32
	mid      *layer
	deep     *layer
	channels int
	tap      func(c int, x []float32) // nil, or takes what the deep layer takes
}

// The decimators: a running mean down to twice the rate of the middle layer, then
// half-band filters.
const (
	// The mean is taken boxcarLeast times where that puts what folds onto 562 Hz 75 dB
	// down (IEC 61260-1 asks for 70), as from 44.1 kHz up, else boxcarMost times. What
	// folds onto the bottom 150 Hz is then 120 dB down.
	boxcarLeast = 4
	boxcarMost  = 6
	boxcarDB    = -75.0
	// The half-band filter of 31 taps passes 562 Hz and stops what would fold onto it by
	// 80 dB at the lowest rate it runs at; so it does with 178 Hz where it leads to the
	// lowest rate of the deep layer.
	halfBandPairs = 8
	halfBandBeta  = 8.0 // Kaiser, 80 dB
)

// lowFactor is by how much the middle layer's rate is lower than a rate in hertz.
func lowFactor(rate float64) int {
	factor := 2
	for rate/float64(factor) > lowRate {
		factor *= 2
	}
	return factor
}

// newBoxcar is the running mean that lowers the rate by a factor. It is taken
// an even number of times, so that its taps have a middle.
func newBoxcar(rate float64, factor int) []float32 {
	h := dsp.Boxcar(factor, boxcarLeast)
	if 10*math.Log10(dsp.Response(h, 1/float64(factor)-fadeTo/rate)) > boxcarDB {
		return dsp.Boxcar(factor, boxcarMost)
	}
	return h
}

func newLow(rate float64, channels int) *low {
	factor := lowFactor(rate)
	boxcar := newBoxcar(rate, factor/2)
	halfBand := dsp.HalfBand(halfBandPairs, func(x float64) float64 { return dsp.Kaiser(x, halfBandBeta) })
	halvings := 0
	for rate/float64(factor<<halvings) > deepRate {
		halvings++
	}
	l := &low{further: make([][]*dsp.Halver[float32], channels), channels: channels}
	l.halved[0], l.halved[1] = make([]float32, dsp.Gathered), make([]float32, dsp.Gathered)
	for c := range channels {
		l.first = append(l.first, dsp.NewDecimator(boxcar, factor/2))
		l.second = append(l.second, dsp.NewHalver[float32](halfBand, dsp.Gathered))
		for range halvings {
			l.further[c] = append(l.further[c], dsp.NewHalver[float32](halfBand, dsp.Gathered))
		}
	}
	gain := func(stages int) func(hz float64) float64 {
		return func(hz float64) float64 {
			g := dsp.Response(boxcar, hz/rate)
			for i := range stages {
				g *= dsp.HalfBandResponse(halfBand, hz/rate*float64(factor<<i)/2)
			}
			return g
		}
	}
	l.mid = newMid(rate/float64(factor), channels, factor, gain(1))
	l.deep = newDeep(rate/float64(factor<<halvings), channels, factor<<halvings, gain(1+halvings))
	return l
}

// write decimates the block. Channels come out equally long, as they go in.
func (l *low) write(block [][]float32) {
	const most = dsp.Gathered // of input at a time, so that pieces stay bounded
	for from, n := 0, len(block[0]); from < n; from += most {
		to := min(n, from+most)
		for c := range l.first {
			l.first[c].Write(block[c][from:to], func(x []float32) { l.decimated(c, x) })
		}
		l.mid.frame()
		l.deep.frame()
	}
}

// decimated takes what the first decimator of a channel makes.
func (l *low) decimated(c int, x []float32) {
	x = l.second[c].Write(l.halved[0], x)
	l.mid.put(c, x)
	for i, h := range l.further[c] {
		x = h.Write(l.halved[(i+1)%2], x)
	}
	l.deep.put(c, x)
	if l.tap != nil {
		l.tap(c, x)
	}
}

// end lets the decimators run out and completes the frames that the track
// reaches into.
func (l *low) end(length int64) {
	l.tap = nil // what follows is silence
	l.mid.end(length)
	l.deep.end(length)
	silence := make([][]float32, l.channels)
	zeros := make([]float32, max(lowSize*l.mid.factor, deepSize*l.deep.factor)+2*dsp.Gathered)
	for c := range silence {
		silence[c] = zeros
	}
	l.write(silence)
}
