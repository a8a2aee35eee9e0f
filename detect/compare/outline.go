package compare

import (
	"context"
	"errors"
	"io"
	"math"

	"dubgauge/decode"
	"dubgauge/detect/dsp"
	"dubgauge/detect/dsp/fourier"
)

func isEnd(err error) bool { return errors.Is(err, io.EOF) }

const (
	// frameRate is how often a second the outline is taken: 10 ms are finer than the
	// attacks of drums are apart.
	frameRate = 100
	// windowSeconds is the least length of a frame's window: two periods of 86 Hz.
	windowSeconds = 0.0232
	// bands of an outline, an octave each from lowest Hz.
	bands  = 8
	lowest = 50.0
	// floor in dB of full scale: below it there is silence.
	floor = -90.0
)

// outline is the level of a track in dB in each band, frame by frame.
type outline struct {
	rate   int
	frames [][bands]float32
}

func (o *outline) seconds() float64 { return float64(len(o.frames)) / frameRate }

// outliner takes an outline of what is written to it.
type outliner struct {
	out    outline
	power  *fourier.Power
	window []float32
	past   [][]float32 // a channel each, the samples from first on
	first  int64
	bins   []float32
	edges  [bands + 1]int
}

func newOutliner(info decode.Info) *outliner {
	n := 8
	for float64(n) < windowSeconds*float64(info.SampleRate) {
		n *= 2
	}
	o := &outliner{out: outline{rate: info.SampleRate}, power: fourier.NewPower(n), window: make([]float32, n),
		past: make([][]float32, info.Channels), bins: make([]float32, n/2)}
	sum := 0.0
	for i := range o.window {
		w := dsp.Hann(float64(i), float64(n))
		o.window[i] = float32(w)
		sum += w * w
	}
	scale := float32(1 / math.Sqrt(sum*float64(n)/2)) // power of a sine of full scale: 0.5
	for i := range o.window {
		o.window[i] *= scale
	}
	for b := range o.edges {
		bin := int(math.Round(lowest * math.Exp2(float64(b)) * float64(n) / float64(info.SampleRate)))
		o.edges[b] = min(max(bin, b+1), n/2)
	}
	return o
}

// write adds a block.
func (o *outliner) write(block [][]float32) {
	for c := range o.past {
		o.past[c] = append(o.past[c], block[c]...)
	}
	for o.frame() {
	}
}

// frame takes one frame, centred at its time, where all of it is there.
func (o *outliner) frame() bool {
	n := int64(len(o.window))
	centre := int64(len(o.out.frames)) * int64(o.out.rate) / frameRate
	start := max(0, centre-n/2)
	if start+n > o.first+int64(len(o.past[0])) {
		return false
	}
	var level [bands]float32
	for c := range o.past {
		o.power.Do(o.bins, o.past[c][start-o.first:start-o.first+n], o.window)
		for b := range level {
			for _, p := range o.bins[o.edges[b]:o.edges[b+1]] {
				level[b] += p
			}
		}
	}
	for b, p := range level {
		level[b] = float32(math.Max(floor, 10*math.Log10(float64(p)+1e-12)))
	}
	o.out.frames = append(o.out.frames, level)
	o.forget(start)
	return true
}

// forget drops what lies before sample at, now and then.
func (o *outliner) forget(at int64) {
	if drop := int(at - o.first); drop > 1<<16 {
		for c := range o.past {
			o.past[c] = append(o.past[c][:0], o.past[c][drop:]...)
		}
		o.first = at
	}
}

// readOutline outlines a track.
func readOutline(ctx context.Context, open Open) (*outline, error) {
	var o *outliner
	info, err := read(ctx, open, func(info decode.Info, block [][]float32) bool {
		if o == nil {
			o = newOutliner(info)
		}
		o.write(block)
		return true
	})
	if err != nil {
		return nil, err
	}
	if o == nil {
		o = newOutliner(info)
	}
	return &o.out, nil
}
