package faults

import (
	"math"
	"slices"

	"dubgauge/detect/dsp"
	"dubgauge/detect/dsp/fourier"
	"dubgauge/detect/reason"
)

const (
	wallFFT = 8192
	// Frames are looked at one after the other at first, so that short files have
	// enough, then one in wallEvery frame lengths.
	wallDense = 40
	wallEvery = 8
	// The wall is looked for between these, in hertz. Below lies music; resampling
	// from 48 to 44.1 kHz leaves an edge from 21 kHz on, and the band limit of the
	// 320 kbit/s setting of the common encoder lies at 20.1 to 20.6.
	wallLowest, wallHighest = 11000.0, 20700.0
	// The step is the mean over wallFar-wallNear Hz below less that above.
	wallNear, wallFar = 150.0, 600.0
	// wallEnd is where the look above a wall ends, before the edge of resamplers.
	wallEnd = 21000.0
	// The quarter of the lines in the wallFilled Hz below the wall that is quietest
	// must come within wallUneven, in power, of the mean.
	wallFilled, wallUneven = 2000.0, 3000.0
	// wallStep is the least step in dB.
	wallStep = 20.0
)

// wall gathers the long-term spectrum, by Welch's method with Hann windows, from
// a sample of frames, and looks for the band limit that a lossy encode leaves.
type wall struct {
	rate    float64
	fft     *fourier.Real
	window  []float64
	frame   []float64
	coef    []complex128
	power   []float64
	fill    int
	skip    int // samples to pass over before the next frame
	frames  int
	channel int
	raw     [2][]float32 // the frame as it came, of both channels
	at      int64        // samples so far
	best    []segment    // steady and bright frames, for the grid
}

// segment is a frame kept whole.
type segment struct {
	at    int64
	score float32
	raw   [2][]float32
}

// maxSegments is how many are kept; each takes 64 kB.
const maxSegments = 8

// newWall returns nil where the rate leaves no room for a wall.
func newWall(rate int) *wall {
	if float64(rate)/2 < wallHighest {
		return nil
	}
	w := &wall{rate: float64(rate), fft: fourier.NewReal(wallFFT), window: make([]float64, wallFFT), frame: make([]float64, wallFFT),
		coef: make([]complex128, wallFFT/2+1), power: make([]float64, wallFFT/2+1)}
	for i := range w.window {
		w.window[i] = dsp.Hann(float64(i), wallFFT)
	}
	for c := range w.raw {
		w.raw[c] = make([]float32, wallFFT)
	}
	w.best = make([]segment, 0, maxSegments)
	return w
}

// write takes n samples of the block from one on; frames are taken from the first
// two channels in turn.
func (w *wall) write(block [][]float32, from, n int) {
	for n > 0 {
		if w.skip > 0 {
			k := min(w.skip, n)
			w.skip, w.at, from, n = w.skip-k, w.at+int64(k), from+k, n-k
			continue
		}
		k := min(wallFFT-w.fill, n)
		for c := range w.raw {
			copy(w.raw[c][w.fill:], block[min(c, len(block)-1)][from:from+k])
		}
		w.fill, w.at, from, n = w.fill+k, w.at+int64(k), from+k, n-k
		if w.fill == wallFFT {
			w.transform()
			w.keep()
		}
	}
}

func (w *wall) transform() {
	for i, v := range w.raw[w.channel] {
		w.frame[i] = float64(v) * w.window[i]
	}
	w.fft.Do(w.coef, w.frame)
	for i, c := range w.coef {
		w.power[i] += real(c)*real(c) + imag(c)*imag(c)
	}
	w.channel = 1 - w.channel
	w.fill = 0
	if w.frames++; w.frames >= wallDense {
		w.skip = (wallEvery - 1) * wallFFT
	}
}

// keep takes the frame among the best if its dullest quarter is brighter than that
// of one of them: around a transient an encoder uses short blocks, which the grid
// does not look at.
func (w *wall) keep() {
	score := float32(math.Inf(1))
	for q := 0; q < wallFFT; q += wallFFT / 4 {
		c := measureOne(w.raw[0][q+1:q+wallFFT/4], w.raw[0][q])
		score = min(score, c.slope)
	}
	s := segment{w.at - wallFFT, score, w.raw}
	if len(w.best) < maxSegments {
		w.best = append(w.best, s)
		w.raw = [2][]float32{make([]float32, wallFFT), make([]float32, wallFFT)}
		return
	}
	least := 0
	for i := range w.best {
		if w.best[i].score < w.best[least].score {
			least = i
		}
	}
	if score > w.best[least].score {
		w.raw, w.best[least] = w.best[least].raw, s
	}
}

// offsets adds up the flatness at each of the n offsets of an encoder's frames over
// the best segments: each segment's in robust standard deviations, turned so that
// offsets count from the start of the track. The mid and the left channel serve in
// turn, as encoders choose one or the other.
func (w *wall) offsets(n int, of func(x []float64) []float64) []float64 {
	sum := make([]float64, n)
	x := make([]float64, wallFFT)
	for i, s := range w.best {
		for k := range x {
			x[k] = float64(s.raw[0][k])
			if i%2 == 0 {
				x[k] += float64(s.raw[1][k])
			}
		}
		v := sharpen(of(x))
		median, spread := robust(v)
		for k := range v {
			z := max(-gridClip, min(gridClip, (median-v[k])/spread))
			sum[(int64(k)+s.at)%int64(n)] += z / float64(len(w.best))
		}
	}
	return sum
}

// sharpen takes from each offset the mean of those some samples away: music makes
// the flatness drift with the offset, a grid shows at one offset and its neighbours.
func sharpen(v []float64) []float64 {
	out := make([]float64, len(v))
	n := len(v)
	for i := range v {
		around := v[(i+n-8)%n] + v[(i+n-6)%n] + v[(i+6)%n] + v[(i+8)%n]
		out[i] = v[i] - around/4
	}
	return out
}

const (
	// gridClip bounds what one segment adds, so that one tonal segment cannot decide.
	gridClip = 6.0
	// gridSigmas is the least mean over the segments at one offset. Measured: material
	// that was never encoded reaches up to 2.5, encodes from 128 to 320 kbit/s 5 to 6.
	gridSigmas = 3.7
	// gridBand is the width in hertz of the band under the wall that is looked at,
	// gridNear its distance from the wall.
	gridBand, gridNear = 3000.0, 200.0
)

// grid tells how far the best offset of an MP3 encoder's frames stands out, for a
// wall at hz.
func (w *wall) grid(hz float64) float64 {
	line := w.rate / 2 / mp3Granule
	from, to := int((hz-gridNear-gridBand)/line), int((hz-gridNear)/line)
	return slices.Max(w.offsets(mp3Granule, func(x []float64) []float64 { return mp3Offsets(x, from, to) }))
}

// find returns the place of the highest step in hertz, and its height in dB. Below
// the step the band must be filled, above it empty up to the end: single tones and
// the lines between the partials of a square wave are no wall.
func (w *wall) find() (hz, db float64) {
	near, far, end := w.bin(wallNear), w.bin(wallFar), min(w.bin(wallEnd), len(w.power)-1)
	for i := w.bin(wallLowest); i <= w.bin(wallHighest); i++ {
		below, above := mean(w.power[i-far:i-near]), mean(w.power[i+near:min(i+far, end)])
		if d := 10 * math.Log10(below/max(above, 1e-30)); below > 0 && d > db {
			hz, db = float64(i)*w.rate/wallFFT, d
		}
	}
	if db < wallStep {
		return hz, db
	}
	i := w.bin(hz)
	below := mean(w.power[i-far : i-near])
	filled := slices.Sorted(slices.Values(w.power[i-w.bin(wallFilled) : i-near]))
	if filled[len(filled)/4] < below/wallUneven || slices.Max(w.power[min(i+far, end-1):end]) > below/10 {
		return hz, 0
	}
	return hz, db
}

func (w *wall) bin(hz float64) int { return int(math.Round(hz * wallFFT / w.rate)) }

func mean(x []float64) float64 {
	s := 0.0
	for _, v := range x {
		s += v
	}
	return s / float64(max(1, len(x)))
}

// encodes names the lossy settings by the band limit that they leave, up to the
// given frequency in hertz (measured on a common MP3 and a common AAC encoder).
var encodes = []struct {
	below float64
	what  string
}{
	{16000, "96"}, {17050, "128"}, {17900, "128 to 160"}, {19250, "192"}, {19950, "224 to 256"}, {wallHighest, "320"},
}

// bandLimit names a wall. As the source of the file it is given as lossy only when
// the encoder's grid lies under it; a wall alone may be a filter's or a resampler's.
func (m *Meter) bandLimit(r *Result) {
	if m.wall == nil || m.wall.frames == 0 {
		return
	}
	hz, db := m.wall.find()
	if db < wallStep {
		return
	}
	if m.wall.grid(hz) < gridSigmas {
		r.add(reason.BandLimit, nowhere, "nothing above %.1f kHz: a steep filter, a resampler or a lossy encode leaves that", hz/1000)
		return
	}
	for _, e := range encodes {
		if hz <= e.below {
			r.add(reason.Transcode, nowhere, "band limit near %.1f kHz, as a %s kbit/s lossy encode would leave, and an MP3 encoder's frames in what is below", hz/1000, e.what)
			return
		}
	}
}
