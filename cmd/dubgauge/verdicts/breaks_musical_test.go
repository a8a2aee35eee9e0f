package main

import (
	"math"
	"slices"
)

// stopOf silences the music for some beats from a bar line on, with an exponential tail
// of so many seconds, or none.
func stopOf(beats, tail float64) func(*planter) planted {
	return func(p *planter) planted {
		at := p.bar(p.x.seconds() * (0.2 + 0.6*p.r.Float64()))
		if at < 0 {
			return nothing
		}
		to := min(len(p.x[0]), at+samples(beats*60/p.grid.BPM))
		for c := range p.x {
			for i := at; i < to; i++ {
				if tail == 0 {
					p.x[c][i] = 0
				} else {
					p.x[c][i] *= float32(math.Exp(-timeOf(i-at) / tail))
				}
			}
		}
		return planted{codes: []string{"none"}, at: 0}
	}
}

// musical are what edits do to music, on the beat as it was measured before.
var musical = []plant{
	{"stop of a bar on the beat", true, stopOf(4, 0)},
	{"stop of a beat on the beat", true, stopOf(1, 0)},
	{"stop of half a beat on the beat", true, stopOf(0.5, 0)},
	{"stop of a bar with a tail", true, stopOf(4, 0.15)},
	{"stop of a bar, edges of 5 ms", true, stopOf(4, 0.002)},
	{"starts on the beat", true, func(p *planter) planted {
		at := p.bar(10)
		if at < 0 {
			return nothing
		}
		p.x = stereo{p.x[0][at:], p.x[1][at:]}
		return planted{codes: []string{"none"}, at: 0}
	}},
	{"ends on the beat", true, func(p *planter) planted {
		at := p.bar(p.x.seconds() - 10)
		if at < 0 {
			return nothing
		}
		p.x = stereo{p.x[0][:at], p.x[1][:at]}
		return planted{codes: []string{"none"}, at: 0}
	}},
	{"loop of a bar", false, func(p *planter) planted {
		at, n := p.bar(20), samples(240/p.grid.BPM)
		if at < 0 || at+2*n > len(p.x[0]) {
			return nothing
		}
		for c := range p.x {
			copy(p.x[c][at+n:at+2*n], p.x[c][at:at+n])
		}
		return planted{codes: []string{"none"}, at: 0}
	}},
	{"half a bar left out on the beat", true, func(p *planter) planted {
		at := p.bar(p.x.seconds() * (0.3 + 0.4*p.r.Float64()))
		if at < 0 {
			return nothing
		}
		for c := range p.x {
			p.x[c] = slices.Delete(p.x[c], at, at+samples(120/p.grid.BPM))
		}
		return planted{codes: []string{"none"}, at: 0}
	}},
	{"4 % faster from a bar on", true, func(p *planter) planted {
		at := p.bar(p.x.seconds() * (0.3 + 0.4*p.r.Float64()))
		if at < 0 {
			return nothing
		}
		for c := range p.x {
			p.x[c] = append(p.x[c][:at:at], faster(p.x[c][at:], 1.04)...)
		}
		return planted{codes: []string{"none"}, at: 0}
	}},
	{"the top changes sides for 4 bars", true, func(p *planter) planted {
		at := p.bar(p.x.seconds() * (0.2 + 0.4*p.r.Float64()))
		if at < 0 {
			return nothing
		}
		to := min(len(p.x[0]), at+samples(960/p.grid.BPM))
		var low [2]float32
		for i := at; i < to; i++ {
			var high [2]float32
			for c := range p.x {
				low[c] += 0.13 * (p.x[c][i] - low[c]) // 1 kHz
				high[c] = p.x[c][i] - low[c]
			}
			p.x[0][i], p.x[1][i] = low[0]+high[1], low[1]+high[0]
		}
		return planted{codes: []string{"none"}, at: 0}
	}},
	{"widened", true, func(p *planter) planted {
		for i, l := range p.x[0] {
			d := 0.4 * (l - p.x[1][i])
			p.x[0][i] += d
			p.x[1][i] -= d
		}
		return planted{codes: []string{"none"}, at: 0}
	}},
}

// faster plays x at a higher speed, read in straight lines between samples.
func faster(x []float32, speed float64) []float32 {
	var out []float32
	for at := 0.0; int(at)+1 < len(x); at += speed {
		i := int(at)
		f := float32(at - float64(i))
		out = append(out, x[i]*(1-f)+x[i+1]*f)
	}
	return out
}
