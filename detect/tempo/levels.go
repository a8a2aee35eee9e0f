package tempo

import "dubgauge/detect/dsp"

const (
	// levelFrames is how many spectra share one value of the levels: 46 ms.
	levelFrames = 8
	// levelScale puts the mean logarithm of a band, up to 7 nepers at full scale,
	// into a byte.
	levelScale = 32
	// levelLimit bounds the levels to an hour, 1.9 MB.
	levelLimit = 3600
)

// levels are the levels of the bands along the track, in a byte each.
type levels struct {
	bands int
	part  []int   // of each band
	step  float64 // seconds a value
	limit int
	have  int
	sum   []float64
	value dsp.Long[uint8] // bands values for each step
}

// init takes the part of each band.
func (l *levels) init(part []int, hop int, rate float64) {
	l.bands, l.part, l.sum = len(part), part, make([]float64, len(part))
	l.step = levelFrames * float64(hop) / rate
	l.limit = int(levelLimit/l.step) * l.bands
}

func (l *levels) add(band int, v float64) { l.sum[band] += v }

func (l *levels) next() {
	if l.have++; l.have < levelFrames {
		return
	}
	l.have = 0
	for b, v := range l.sum {
		if l.value.Len() < l.limit {
			l.value.Append(uint8(max(0, min(255, v/levelFrames*levelScale))))
		}
		l.sum[b] = 0
	}
}

// mean fills dst with the mean levels from one time to another, in seconds
// from the first spectrum, and tells whether there are any.
func (l *levels) mean(dst []float64, from, to float64) bool {
	i, j := max(0, int(from/l.step+0.5)), int(to/l.step+0.5)
	if j <= i || j*l.bands > l.value.Len() {
		return false
	}
	clear(dst)
	for k := i; k < j; k++ {
		for b := range dst {
			dst[b] += float64(*l.value.At(k*l.bands + b)) / levelScale / float64(j-i)
		}
	}
	return true
}
