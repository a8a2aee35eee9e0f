package render

import (
	"math"

	"dubgauge/detect/limit"
)

// stage is one thing that is done to the audio. Its blocks are planar, full scale being 1;
// what it has done goes to the function that it was made with, in blocks that are valid
// during the call.
type stage interface {
	Write(block [][]float32)
	End() // gives out what is still held back
}

// gain turns everything up or down. A gain of 0 dB changes no bit.
type gain struct {
	factor float64
	out    [][]float32
	give   func([][]float32)
}

func newGain(channels int, dB float64, give func([][]float32)) *gain {
	return &gain{factor: math.Pow(10, dB/20), out: make([][]float32, channels), give: give}
}

func (g *gain) Write(block [][]float32) {
	for c, x := range block {
		if cap(g.out[c]) < len(x) {
			g.out[c] = make([]float32, len(x))
		}
		g.out[c] = g.out[c][:len(x)]
		for i, v := range x {
			g.out[c][i] = float32(float64(v) * g.factor)
		}
	}
	g.give(g.out)
}

func (g *gain) End() {}

// chain is what p asks for; the limiter, where there is one, is also given by itself.
func (p *Plan) chain(rate, channels int, give func([][]float32)) (stage, *limit.Limiter) {
	var last stage
	var l *limit.Limiter
	if p.Limited {
		l = limit.New(rate, channels, p.Gain, p.Ceiling, give)
		last = l
	} else {
		last = newGain(channels, p.Gain, give)
	}
	if len(p.Moves) > 0 {
		last = newEqualiser(p.Moves, rate, channels, last)
	}
	return last, l
}
