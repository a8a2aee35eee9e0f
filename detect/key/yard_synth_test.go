package key

import (
	"math"
	"math/rand/v2"
)

// This file holds the instruments of the songs: frequency modulation (J. Chowning, JAES 21/7,
// 1973), plucked strings (K. Karplus & A. Strong, Computer Music Journal 7/2, 1983) and saws
// through a filter that opens and closes.

type songVoice struct {
	kind  byte    // 'f' frequency modulation, 's' string, 'l' filtered saws
	ratio float64 // of the modulator
	index float64 // of modulation, or how far the filter opens in octaves
	decay float64 // 1/s
}

var songVoices = [3][]songVoice{
	{{'f', 1, 0.4, 1}, {'f', 2, 1.5, 4}, {'s', 0, 0, 0.5}, {'l', 0, 3, 3}, {'l', 0, 5, 1}, {'f', 1, 0, 0.5}, {'f', 0.5, 1, 2}},
	{{'f', 2, 1, 1.5}, {'f', 3.01, 0.6, 2}, {'s', 0, 0, 1}, {'l', 0, 4, 0.2}, {'l', 0, 5, 5}, {'f', 1, 1.2, 0.3}},
	{{'f', 1, 2, 1}, {'f', 3.5, 0.8, 4}, {'s', 0, 0, 0.5}, {'l', 0, 5, 0.5}, {'f', 2, 0.5, 0.5}},
}

// part renders notes, in beats, to n samples. A note that comes again sounds as it did.
func (v songVoice) part(rnd *rand.Rand, notes []note, bpm, cents float64, n, rate int) []float64 {
	out, made := make([]float64, n), map[[2]float64][]float64{}
	for _, p := range notes {
		id := [2]float64{p.pitch, p.beats}
		if made[id] == nil {
			made[id] = v.sound(rnd, 440*math.Exp2((p.pitch-69)/12+cents/1200), int(p.beats*60/bpm*float64(rate)), rate)
		}
		from, g := int(p.at*60/bpm*float64(rate)), between(rnd, 0.7, 1)
		if from >= n {
			continue
		}
		for i, x := range made[id][:min(len(made[id]), n-from)] {
			out[from+i] += g * x
		}
	}
	level(out, 0.2)
	return out
}

// sound renders one note of n samples.
func (v songVoice) sound(rnd *rand.Rand, hz float64, n, rate int) []float64 {
	x := make([]float64, n)
	switch v.kind {
	case 'f':
		v.modulated(x, hz, 1, rate)
	case 's':
		v.plucked(rnd, x, hz, 1, rate)
	default:
		v.filtered(x, hz, 1, rate)
	}
	return x
}

// shape is attack and release of sample i of n.
func shape(i, n, rate int) float64 {
	return min(1, float64(i)/(0.005*float64(rate)), float64(n-i)/(0.015*float64(rate)))
}

func (v songVoice) modulated(dst []float64, hz, g float64, rate int) {
	step, fade, index := 2*math.Pi*hz/float64(rate), math.Exp(-v.decay/float64(rate)), v.index
	for i := range dst {
		x := step * float64(i)
		dst[i] += g * shape(i, len(dst), rate) * math.Sin(x+index*math.Sin(v.ratio*x))
		g, index = g*fade, index*fade
	}
}

func (v songVoice) plucked(rnd *rand.Rand, dst []float64, hz, g float64, rate int) {
	// The mean of two samples delays by half of one; what is left of one is made up by an allpass.
	period := float64(rate)/hz - 0.5
	line := make([]float64, int(period-0.3))
	for i := range line {
		line[i] = rnd.NormFloat64()
	}
	part := period - float64(len(line))
	c, last, in, out := (1-part)/(1+part), 0.0, 0.0, 0.0
	for i := range dst {
		j := i % len(line)
		x := line[j]
		mean := 0.499 * (x + last)
		last = x
		out = c*(mean-out) + in
		in, line[j] = mean, out
		dst[i] += 2 * g * shape(i, len(dst), rate) * x
	}
}

func (v songVoice) filtered(dst []float64, hz, g float64, rate int) {
	a, b := 0.0, 0.5
	low, band, cut := 0.0, 0.0, 0.0
	fade, open := math.Exp(-v.decay/float64(rate)), v.index
	for i := range dst {
		a, b = math.Mod(a+hz*1.004/float64(rate), 1), math.Mod(b+hz*0.996/float64(rate), 1)
		if i%32 == 0 {
			cut = 2 * math.Sin(math.Pi*min(hz*math.Exp2(open), 3000)/float64(rate))
		}
		low += cut * band
		band += cut * (a + b - 1 - low - 0.9*band)
		dst[i] += g * shape(i, len(dst), rate) * low
		open *= fade
	}
}

// duck turns the music down on each beat, as a compressor does that hears the kick.
func duck(x []float64, bpm float64, rate int) {
	for i := range x {
		at := math.Mod(float64(i)/float64(rate)*bpm/60, 1)
		x[i] *= min(1, 0.25+1.6*at)
	}
}
