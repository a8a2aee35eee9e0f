package key

import (
	"math"
	"math/rand/v2"
)

// This file composes and plays the songs.

// bassSteps are sixteenths of a bar on which the bass plays.
var bassSteps = [][]int{{0, 3, 6, 10, 12}, {0, 6, 8, 14}, {2, 6, 10, 14}, {0, 2, 3, 6, 8, 10, 11, 14}, {0, 8}, {0}, {0, 10}, {0, 3, 8, 11, 14}, {2, 3, 6, 7, 10, 11, 14, 15}}

// chordSteps are those on which chords are struck, and how long they last in beats.
var chordSteps = []struct {
	at   []int
	last float64
}{{[]int{0}, 3.9}, {[]int{0, 3, 6, 10, 13}, 0.3}, {[]int{3, 6, 11, 14}, 0.25}, {[]int{2, 6, 10, 14}, 0.45}, {[]int{0, 6, 12}, 0.7}, {[]int{0, 8}, 1.9}, {[]int{0, 3, 8, 11}, 0.5}}

// songParts composes one loop of it: bass, chords, melody.
func (s *song) songParts(rnd *rand.Rand) (parts [3][]note, beats float64) {
	tonic, low, mid := middleC+float64(s.key.Tonic), between(rnd, 27, 35), between(rnd, 50, 60)
	steps, comp, pedal := pick(rnd, bassSteps), pick(rnd, chordSteps), rnd.IntN(6) == 0
	fills, held := rnd.IntN(3), between(rnd, 0.3, 0.95)
	for i, c := range s.loop {
		for b := 0.0; b < s.beatsEach; b += 4 {
			at := float64(i)*s.beatsEach + b
			for j, step := range steps {
				until := 16
				if j+1 < len(steps) {
					until = steps[j+1]
				}
				p := tonic + float64(c[0])
				if pedal {
					p = tonic
				}
				p = octave(p, low)
				if j > 0 && rnd.IntN(4) == 0 {
					p += []float64{12, 7, 10}[fills]
				}
				parts[0] = append(parts[0], note{at + float64(step)/4, float64(until-step) / 4 * held, p, 1})
			}
			for _, step := range comp.at {
				for _, t := range c {
					parts[1] = append(parts[1], note{at + float64(step)/4, comp.last, octave(tonic+float64(t), mid), 1})
				}
			}
		}
	}
	beats = float64(len(s.loop)) * s.beatsEach
	top, density := between(rnd, 62, 72), between(rnd, 0.15, 0.5)
	_ = pick(rnd, s.music.scale) // a draw without which all songs would be others
	for at := 0.0; at < beats; at += 0.5 {
		if rnd.Float64() > density {
			continue
		}
		p := pick(rnd, s.music.scale)
		if rnd.IntN(2) == 0 {
			c := s.loop[int(at/s.beatsEach)]
			p = c[rnd.IntN(len(c))]
		}
		parts[2] = append(parts[2], note{at, pick(rnd, []float64{0.4, 0.9, 1.8}), octave(tonic+float64(p), top), 1})
	}
	return parts, beats
}

// render plays the song at the given rate.
func (s *song) render(rnd *rand.Rand, rate int) []float32 {
	parts, beats := s.songParts(rnd)
	total, at := 0, 0.0
	for _, x := range s.sections {
		total += x.bars
	}
	n := int((s.lead + float64(4*total)*60/s.bpm) * float64(rate))
	kit := newDrumKit(rnd)
	all := kit.hits(rnd, total)
	var hits []hit
	var played [3][]note
	for j, x := range s.sections {
		end := at + float64(4*x.bars)
		parts, beats := parts, beats
		if other := s.loops[j]; other != nil {
			o := *s
			o.loop = other
			parts, beats = o.songParts(rand.New(rand.NewPCG(s.seed, uint64(j))))
		}
		for i := range parts {
			if x.layers&(songBass<<i) == 0 {
				continue
			}
			for o := at; o < end; o += beats {
				for _, v := range parts[i] {
					v.pitch += float64(s.ups[j])
					if v.at += o; v.at < end {
						played[i] = append(played[i], v)
					}
				}
			}
		}
		for _, h := range all {
			if x.layers&songDrums != 0 && h.at >= at && h.at < end {
				hits = append(hits, h)
			}
		}
		at = end
	}
	out := make([]float64, n)
	from := int(s.lead * float64(rate))
	add := func(x []float64, dB float64) {
		for i, v := range x[:n-from] {
			out[from+i] += math.Pow(10, dB/20) * v
		}
	}
	for i, range_ := range [3][2]float64{{-3, 3}, {-9, 0}, {-10, -2}} {
		add(pick(rnd, songVoices[i]).part(rnd, played[i], s.bpm, s.cents, n, rate), between(rnd, range_[0], range_[1]))
	}
	if rnd.IntN(2) == 0 {
		duck(out[from:], s.bpm, rate)
	}
	add(kit.part(rnd, hits, s.bpm, n, rate), between(rnd, -2, 5))
	p := yardPiece{squashed: rnd.IntN(2) == 0}
	x := p.master(out)
	return x[int(s.from*float64(rate)):min(int(s.to*float64(rate)), len(x))]
}
