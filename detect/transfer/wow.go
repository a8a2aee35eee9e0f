package transfer

import (
	"math"

	"dubgauge/detect/dsp/fourier"
)

const (
	// wowSize is the length of a frame: 0.19 s at 44.1 kHz, in which a partial of 1 kHz
	// moves by half a bin at a wow of 1 %, and partials 20 Hz apart are told from each
	// other. In frames twice as long a wow of 1 % was found in 21 of 36 songs used for
	// fitting, in these in 31.
	wowSize = 512
	wowHop  = wowSize / 2
	// wowGate is the largest step of a partial, as the logarithm of its frequency, that
	// is taken for the same partial: a tenth of a semitone. A wow of 1 % at the speed
	// of a record makes steps of 0.3 %.
	wowGate = 0.006
	// wowStand is how far a partial must stand out from what lies three bins away, and
	// wowAlike how much its power may change in a step: notes that start, end or beat
	// with others move for reasons of their own.
	wowStand, wowAlike = 5, 2
	// wowFaintest is the least power of a partial, -90 dBFS.
	wowFaintest = 1e-9
	wowBands    = 2
)

// wowEdges bound the two bands whose partials are held against each other, in hertz:
// a bass that glides, or one instrument's vibrato, moves one of them.
var wowEdges = [wowBands + 1]float64{140, 420, 1250}

// wowStep is how the partials of each band moved from one frame to the next.
type wowStep struct {
	change [wowBands]float32 // of the logarithm of the frequency, the median
	weight [wowBands]float32 // number of partials, 0 for none
}

// wow follows the partials of the sum of the channels.
type wow struct {
	rate   float64
	fft    *fourier.Transform
	window []float32
	input  []float32
	z      []complex64
	spec   [2][]complex64 // of the last two frames, by bin
	power  [wowSize / 2]float32
	hz     [2][]float64 // instantaneous frequency of peaks, by bin, 0 for none
	frames int
	turns  *wowTurning
	edge   [wowBands + 1]int
	moves  []float64
}

func newWow(rate float64) *wow {
	w := &wow{rate: rate, fft: fourier.New(wowSize), window: hann(wowSize), z: make([]complex64, wowSize)}
	w.input = make([]float32, 0, wowSize+wowHop+chunkCells*partsPerCell)
	for i := range w.spec {
		w.spec[i] = make([]complex64, wowSize/2)
		w.hz[i] = make([]float64, wowSize/2)
	}
	for i, hz := range wowEdges {
		w.edge[i] = min(int(hz/rate*wowSize), wowSize/2-6)
	}
	w.moves = make([]float64, 0, wowSize)
	w.turns = newWowTurning(rate / wowHop)
	return w
}

func (w *wow) write(left, right []float32) {
	for i, v := range left {
		w.input = append(w.input, (v+right[i])/2)
	}
	for len(w.input) >= wowSize+wowHop {
		w.pair()
		w.input = w.input[:copy(w.input, w.input[2*wowHop:])]
	}
}

// pair transforms two frames at once.
func (w *wow) pair() {
	for i, g := range w.window {
		w.z[i] = complex(g*w.input[i], g*w.input[i+wowHop])
	}
	w.fft.Do(w.z)
	place := w.fft.Place()
	var next [2][wowSize / 2]complex64
	for k := w.edge[0] - 4; k < w.edge[wowBands]+4; k++ {
		next[0][k], next[1][k] = pair(w.z, place, k)
	}
	w.frame(next[0][:])
	w.frame(next[1][:])
}

// frame takes the spectrum of the next frame.
func (w *wow) frame(x []complex64) {
	now, before := w.frames%2, 1-w.frames%2
	w.frames++
	hz, past, old := w.hz[now], w.spec[before], w.hz[before]
	clear(hz)
	copy(w.spec[now], x)
	if w.frames < 2 {
		return
	}
	var s wowStep
	for k := w.edge[0] - 4; k < w.edge[wowBands]+4; k++ {
		w.power[k] = squared(x[k])
	}
	for b := range wowBands {
		w.moves = w.moves[:0]
		for k := w.edge[b]; k < w.edge[b+1]; k++ {
			if !peakAt(&w.power, k) || !alike(w.power[k], squared(past[k])) {
				continue
			}
			hz[k] = w.instant(past[k], x[k], k)
			if hz[k] == 0 {
				continue
			}
			for j := k - 1; j <= k+1; j++ {
				if old[j] == 0 {
					continue
				}
				if d := math.Log(hz[k] / old[j]); math.Abs(d) < wowGate {
					w.moves = append(w.moves, d)
				}
			}
		}
		if n := len(w.moves); n > 0 {
			s.change[b], s.weight[b] = float32(middle(w.moves)), float32(n)
		}
	}
	w.turns.add(s)
}

// peakAt tells whether bin k is a maximum that stands out from what lies 4 bins away.
func peakAt(power *[wowSize / 2]float32, k int) bool {
	p := power[k]
	return p > power[k-1] && p >= power[k+1] && p > wowFaintest &&
		p > wowStand*power[k-3] && p > wowStand*power[k+3]
}

// alike tells whether two powers differ by little.
func alike(p, q float32) bool { return p < wowAlike*q && q < wowAlike*p }

// instant is the frequency of bin k from the advance of its phase over a hop; 0 where
// it lies outside of the bin's neighbourhood.
func (w *wow) instant(a, b complex64, k int) float64 {
	c := complex128(b) * complex(float64(real(a)), -float64(imag(a)))
	phase := math.Atan2(imag(c), real(c))
	// A bin's centre advances by pi k over half a frame.
	if k%2 == 1 {
		phase -= math.Pi
	}
	phase = math.Remainder(phase, 2*math.Pi)
	off := phase / math.Pi // bins
	if math.Abs(off) > 0.8 {
		return 0
	}
	return (float64(k) + off) * w.rate / wowSize
}
