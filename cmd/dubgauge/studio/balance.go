package studio

import (
	"math"

	"dubgauge/cmd/dubgauge/sound"
	"dubgauge/detect/spectrum"
)

// region is a part of the spectrum that a mixer turns as a whole.
type region struct{ from, to float64 }

func (g region) centre() float64 { return math.Sqrt(g.from * g.to) }

const regionCount = 7

// regions from the low end to the air, in Hz. The lowest is one: how sub and bass
// share it follows from the key and the line, as in real music.
var regions = [regionCount]region{
	{20, 150}, {150, 400}, {400, 1000}, {1000, 2500}, {2500, 6000}, {6000, 12000}, {12000, 20000},
}

// correction is how much of the distance to what records of the genre sound like
// a mixer takes out by ear. With it, and the character added to it, the spread by
// third octave is that of package documentation.
const correction = 0.85

// balance turns the regions of a mix towards the genre's balance, as heard in
// its drop, plus what this mixer likes.
func balance(a, drop sound.Audio, s *Song) {
	drop = drop.Clone()
	var all [regionCount]float64
	for range 3 { // filters overlap: each pass takes what the last has left
		have := regionLevels(drop)
		var gains [regionCount]float64
		for i := range gains {
			gains[i] = correction * (s.Genre.Balance[i] + s.character[i] - have[i])
			gains[i] = math.Max(-9, math.Min(9, gains[i]))
			all[i] += gains[i]
		}
		tune(drop, gains)
	}
	tune(a, all)
	a.Filter(func() *sound.Biquad { return sound.Pass(s.rumbleCut, true) })
	a.Filter(func() *sound.Biquad { return sound.Pass(s.air, false) })
}

// tune turns each region with a filter of its width.
func tune(a sound.Audio, gains [regionCount]float64) {
	for i, g := range gains {
		switch i {
		case 0:
			a.Filter(func() *sound.Biquad { return sound.LowShelf(regions[i].to, g) })
		case regionCount - 1:
			a.Filter(func() *sound.Biquad { return sound.HighShelf(regions[i].from, g) })
		default:
			a.Filter(func() *sound.Biquad { return sound.Bell(regions[i].centre(), g, 1) })
		}
	}
}

// regionLevels is the power in each region against the whole, in dB.
func regionLevels(a sound.Audio) (out [regionCount]float64) {
	bands := Thirds(a)
	var sums [regionCount]float64
	total := 0.0
	for b, dB := range bands {
		if math.IsNaN(dB) {
			continue
		}
		p := math.Pow(10, dB/10)
		total += p
		for i, g := range regions {
			if f := spectrum.Exact(b); f >= g.from*0.98 && f < g.to*0.98 {
				sums[i] += p
			}
		}
	}
	for i := range out {
		out[i] = 10 * math.Log10((sums[i]+1e-12)/(total+1e-12))
	}
	return out
}

// Thirds measures the level by third octave, dB.
func Thirds(a sound.Audio) []float64 {
	m := spectrum.New(sound.Rate, 2)
	a.Blocks(m.Write)
	return m.Whole()
}
