package transfer

import (
	"math"

	"dubgauge/detect/dsp"
	"dubgauge/detect/dsp/fourier"
)

const (
	// hissCells is the length of a frame of the top end, 12 ms at 44.1 kHz: short enough to
	// fall between two hats. Every hissEvery-th chunk gives one, 11 a second; the quietest
	// fiftieth of them shows a floor as well as all of them would.
	hissCells, hissEvery = 16, 2
	// hissSplit is the number of equal parts of a band whose median is its level: a tone
	// that never stops, a whistle or the line of a screen, is in two of them at most.
	hissSplit = 5
	// hissSilent is the level of silence, dB.
	hissSilent = -200
	// hissStretch is how many frames follow each other where a long track is thinned out,
	// some 24 s, and hissStretches how many of them are kept: of a track of up to 44 minutes
	// all.
	hissStretch, hissStretches = 1 << 8, 112
)

// hissEdges bound the bands of the top end, in hertz: third octaves, as what covers hiss
// there lies in the same one (Fastl and Zwicker, Psychoacoustics, ch. 4 and 6). Hats
// and voices leave the highest first.
var hissEdges = [...]float64{6300, 8000, 10000, 12600, 16000, 20000}

const hissBands = len(hissEdges) - 1

// top is what is kept of a frame: for each band the level, dB RMS, of white noise that has
// as much there, a mean of both channels.
type top [hissBands]float32

// hiss follows the level of the top end.
type hiss struct {
	fft     *fourier.Transform
	window  []float32
	z       []complex64
	bins    [hissBands][hissSplit + 1]int // where the parts of a band begin, and the last ends
	bands   int                           // those that the rate leaves
	chunks  int
	frames  *dsp.Thinned[top]
	seconds float64 // from one frame to the next
}

func newHiss(rate float64, cell int) hiss {
	n := hissCells * cell
	h := hiss{fft: fourier.New(n), window: make([]float32, n), z: make([]complex64, n), seconds: float64(hissEvery*chunkCells*cell) / rate,
		frames: dsp.NewThinned[top](hissStretch, hissStretches)}
	sum := 0.0
	for i := range h.window {
		w := 1 - math.Cos(2*math.Pi*(float64(i)+0.5)/float64(n))
		h.window[i] = float32(w)
		sum += w * w
	}
	for i := range h.window { // white noise of power p has p in each bin
		h.window[i] /= float32(math.Sqrt(sum))
	}
	for b := range h.bins {
		if hissEdges[b+1] > 0.46*rate { // converters have filters beyond
			break
		}
		h.bands++
		for i := range h.bins[b] {
			hz := hissEdges[b] + (hissEdges[b+1]-hissEdges[b])*float64(i)/hissSplit
			h.bins[b][i] = int(math.Ceil(hz / rate * float64(n)))
		}
	}
	return h
}

// write takes the next chunk of both channels, of which it looks at the first frame.
func (h *hiss) write(x, y []float32) {
	h.chunks++
	if h.bands == 0 || h.chunks%hissEvery != 1 || len(x) < len(h.window) {
		return
	}
	for i, w := range h.window {
		h.z[i] = complex(w*x[i], w*y[i])
	}
	h.fft.Do(h.z)
	var f top
	for b := range h.bands {
		f[b] = h.level(&h.bins[b])
	}
	h.frames.Append(f)
}

// level is that of a band, the median of its parts. The transform of l + i r has, in a bin
// and its mirror image together, twice the power of both channels.
func (h *hiss) level(bins *[hissSplit + 1]int) float32 {
	var parts [hissSplit]float32
	place, n := h.fft.Place(), len(h.z)
	for i := range parts {
		for k := bins[i]; k < bins[i+1]; k++ {
			parts[i] += squared(h.z[place[k]]) + squared(h.z[place[n-k]])
		}
		parts[i] /= float32(4 * max(1, bins[i+1]-bins[i]))
	}
	for i := 1; i < len(parts); i++ { // in order
		for k := i; k > 0 && parts[k] < parts[k-1]; k-- {
			parts[k], parts[k-1] = parts[k-1], parts[k]
		}
	}
	return float32(max(hissSilent, decibels(parts[hissSplit/2])))
}
