package main

import (
	"math"

	"dubgauge/cmd/dubgauge/sound"
)

// filled are holes that are filled: with noise of -70 to -50 dBFS (RMS) or with the sample
// before. They last for 20 ms to 2 s. They come last: the rows before keep their dice.
var filled = []plant{
	{"hole of white noise", false, fillOf(white, 0, 1)},
	{"hole of pink noise", false, fillOf(pink, 0, 1)},
	{"hole of noise in one channel", false, fillOf(white, 1)},
	{"hole of a held sample", false, fillOf(hold, 0, 1)},
}

// bedded are stops over noise that is the music's own.
var bedded = []plant{
	{"stop of a beat over a bed of noise", true, stopOver(1, white)},
	{"stop of half a beat over a bed of noise", true, stopOver(0.5, white)},
	{"stop of a bar over pink room tone", true, stopOver(4, pink)},
	{"gate of sixteenths over a bed of noise", true, func(p *planter) planted {
		return p.over(white, 16, func(beat float64) bool { return math.Mod(beat*4, 1) >= 0.6 })
	}},
	{"a sample with noise of its own for four bars, cut on eighths", true, func(p *planter) planted {
		return p.over(pink, 16, func(beat float64) bool { return math.Mod(beat*2, 4) >= 3 })
	}},
	{"drums that die away in room tone", true, func(p *planter) planted {
		at := p.bar(p.x.seconds() * (0.2 + 0.5*p.r.Float64()))
		if at < 0 {
			return nothing
		}
		beat := 60 / p.grid.BPM
		n := min(len(p.x[0])-at, samples(16*beat))
		for c := range p.x {
			bed := pink(p, c, at, n)
			for i := range n {
				g := math.Exp(-math.Mod(timeOf(i), beat) / 0.03)
				p.x[c][at+i] = float32(g)*p.x[c][at+i] + bed[i]
			}
		}
		return musicalPlant
	}},
}

var musicalPlant = planted{codes: []string{"none"}, at: 0}

// fill makes what fills n samples of a channel from a place on.
type fill func(p *planter, c, at, n int) []float32

func (p *planter) fillLevel() float64 { return float64(decibel(-70 + 20*p.r.Float64())) }

func white(p *planter, _, _, n int) []float32 {
	out, g := make([]float32, n), p.fillLevel()
	for i := range out {
		out[i] = float32(g * p.r.NormFloat64())
	}
	return out
}

// pink falls by 3 dB an octave, to a quarter of a decibel from 9 Hz on (P. Kellet's sum of
// three low-passes at 44.1 kHz).
func pink(p *planter, c, at, n int) []float32 {
	out := white(p, c, at, n)
	var b0, b1, b2 float32
	for i, w := range out {
		b0 = 0.99765*b0 + 0.0990460*w
		b1 = 0.96300*b1 + 0.2965164*w
		b2 = 0.57000*b2 + 1.0526913*w
		out[i] = 0.4 * (b0 + b1 + b2 + 0.1848*w)
	}
	return out
}

func hold(p *planter, c, at, n int) []float32 {
	out := make([]float32, n)
	for i := range out {
		out[i] = p.x[c][at-1]
	}
	return out
}

func fillOf(f fill, channels ...int) func(*planter) planted {
	return func(p *planter) planted {
		n := samples(0.02 * math.Pow(100, p.r.Float64()))
		at := p.place(n, edgeRoom, channels...)
		if at < 0 {
			return nothing
		}
		for _, c := range channels {
			copy(p.x[c][at:], f(p, c, at, n))
		}
		codes := []string{"hole"}
		if len(channels) == 1 {
			codes = append(codes, "dead channel")
		}
		return planted{codes: codes, at: timeOf(at)}
	}
}

// stopOver silences the music over a bed for some beats from a bar line on.
func stopOver(beats float64, f fill) func(*planter) planted {
	return func(p *planter) planted { return p.over(f, beats+4, func(beat float64) bool { return beat < beats }) }
}

// over lays a bed under some beats from a bar line on, and stops the music where it is told to.
func (p *planter) over(f fill, beats float64, stops func(beat float64) bool) planted {
	at := p.bar(p.x.seconds() * (0.2 + 0.5*p.r.Float64()))
	if at < 0 {
		return nothing
	}
	n := min(len(p.x[0])-at, samples(beats*60/p.grid.BPM))
	for c := range p.x {
		bed := f(p, c, at, n)
		for i := range n {
			if stops(float64(i) / sound.Rate * p.grid.BPM / 60) {
				p.x[c][at+i] = 0
			}
			p.x[c][at+i] += bed[i]
		}
	}
	return musicalPlant
}
