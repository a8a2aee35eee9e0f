package truepeak

import (
	"math"
	"sync"

	"dubgauge/detect/dsp"
)

// Levels is the highest magnitude in each Cell samples of a track and the one behind them,
// over all channels: what the meter finds on its way, and what a limiter goes by. Of a cell
// it has the highest sample in 16 bits, with an error of up to 0.4 % (0.03 dB), and by how
// much the signal between the samples is higher in 8: 2 kB a second at 44.1 kHz. The
// latter is guessed from eight samples around the highest, and only where that is high.
type Levels struct {
	Cell   int              // samples a channel; more in a track of hours
	fold   int              // cells of the chunk in one of these
	sample dsp.Long[uint16] // the upper half of a number in single precision
	above  dsp.Long[uint8]  // in steps of aboveStep of it
	chunk  []level          // of the chunk at hand
}

// level of a cell: the highest sample, and the highest with what is between the samples.
type level struct{ sample, true float32 }

// aboveStep is a 128th: 0.07 dB, to at most 9.5 dB.
const aboveStep = 1.0 / 128

// cellLongest in seconds: short beside the look-ahead and the hold of any limiter.
const cellLongest = 0.0016

// cellSpans is how many spans make a cell, a power of two, so that chunks are whole cells.
func cellSpans(rate int) int {
	n := 1
	for float64(2*n*span) <= cellLongest*float64(rate) && 2*n*span <= chunk {
		n *= 2
	}
	return n
}

func newLevels(rate int) Levels {
	l := Levels{Cell: cellSpans(rate) * span, fold: 1}
	l.chunk = make([]level, chunk/l.Cell)
	return l
}

// Len is the number of cells.
func (l *Levels) Len() int { return l.sample.Len() }

// Sample is the highest sample of cell i, full scale being 1.
func (l *Levels) Sample(i int) float32 { return math.Float32frombits(uint32(*l.sample.At(i)) << 16) }

// At is the highest magnitude of cell i, between the samples too.
func (l *Levels) At(i int) float32 { return l.Sample(i) * (1 + aboveStep*float32(*l.above.At(i))) }

// raise takes the levels of a channel's chunk, whose spans have been measured, into its
// cells. highest is that of all samples so far.
func (l *Levels) raise(x extents, buf []float32, highest float32) {
	each := chunk / len(l.chunk) / span
	for c := range l.chunk {
		first := margin/span + c*each
		at, top := first, x[first].level
		for s := first + 1; s < first+each; s++ {
			if x[s].level > top {
				at, top = s, x[s].level
			}
		}
		to := &l.chunk[c]
		to.sample, to.true = max(to.sample, top), max(to.true, top)
		if top > nearHighest*highest {
			to.true = max(to.true, between(buf[at*span-innerTaps:], top))
		}
	}
}

// put takes the cells of the chunk over, all channels being done.
func (l *Levels) put() {
	for from := 0; from < len(l.chunk); from += l.fold {
		var c level
		for _, o := range l.chunk[from : from+l.fold] {
			c.sample, c.true = max(c.sample, o.sample), max(c.true, o.true)
		}
		code := uint16((math.Float32bits(c.sample) + 1<<15) >> 16)
		l.sample.Append(code)
		l.above.Append(aboveOf(c.true, c.sample))
	}
	clear(l.chunk)
	if l.Len() >= mostCells && l.fold < len(l.chunk) {
		l.halve()
	}
}

// mostCells are kept: 50 minutes at 44.1 kHz. Beyond that cells are twice as long, so that a
// set takes no more memory the longer it is.
const mostCells = 1 << 21

// halve makes one cell of every two. Of both it has what is higher.
func (l *Levels) halve() {
	n := l.Len() / 2
	for i := range n {
		highest := max(l.At(2*i), l.At(2*i+1))
		*l.sample.At(i) = max(*l.sample.At(2 * i), *l.sample.At(2*i + 1)) // the order of the bits is that of the numbers
		*l.above.At(i) = aboveOf(highest, l.Sample(i))
	}
	l.sample.Cut(n)
	l.above.Cut(n)
	l.Cell *= 2
	l.fold *= 2
}

// aboveOf says by how many steps of it a level is higher than the highest sample.
func aboveOf(level, sample float32) uint8 {
	if !(level > sample) || sample == 0 {
		return 0
	}
	return uint8(min(math.MaxUint8, math.Round(float64(level/sample-1)/aboveStep)))
}

// nearHighest is the share of the highest sample so far from which a level is looked at more
// closely: 3 dB, which is what a limiter may take off. It costs time.
const nearHighest = 0.707

// between guesses how high the signal gets on both sides of the first sample of that level
// in the span that begins at x[innerTaps]: the parabola through it, its neighbour and the guess half
// way.
func between(x []float32, level float32) float32 {
	h := newMiddle()
	for i := innerTaps; i <= innerTaps+span; i++ {
		if magnitude(x[i]) == level {
			return max(halfWay(x[i-innerTaps:], h), halfWay(x[i-innerTaps+1:], h))
		}
	}
	return 0
}

// middleBeta is the window of the guess: within 0.2 dB up to 0.36 of the rate.
const middleBeta = 3.5

// newMiddle gives one side of the taps of the value half way between two samples, the
// nearest first: a sinc under a Kaiser window, scaled to a sum of 1.
var newMiddle = sync.OnceValue(func() *[innerTaps]float32 {
	var h [innerTaps]float32
	sum := 0.0
	weight := func(k int) float64 {
		t := float64(k) + 0.5
		return dsp.Sinc(t) * dsp.Kaiser(t/innerTaps, middleBeta)
	}
	for k := range h {
		sum += 2 * weight(k)
	}
	for k := range h {
		h[k] = float32(weight(k) / sum)
	}
	return &h
})

// halfWay is the highest of the parabola between the two samples in the middle of y.
func halfWay(y []float32, h *[innerTaps]float32) float32 {
	y = y[:2*innerTaps]
	guess := h[0]*(y[3]+y[4]) + h[1]*(y[2]+y[5]) + h[2]*(y[1]+y[6]) + h[3]*(y[0]+y[7])
	v, _ := vertex(magnitude(y[3]), magnitude(guess), magnitude(y[4]))
	return v
}

// Levels are those of the whole track. It measures what has been written, as Result does:
// nothing can be written after it.
func (m *Meter) Levels() Levels {
	m.finish()
	l := &m.levels
	n := int(min((m.written+int64(l.Cell)-1)/int64(l.Cell), int64(l.Len())))
	l.sample.Cut(n)
	l.above.Cut(n)
	return *l
}
