package key

import (
	"math"
	"math/rand/v2"
)

// This file holds the instruments of the yardstick.

// voice is an instrument: one cycle by its partials, and what is done to it.
type voice struct {
	name    string
	partial func(h int) float64 // amplitude of a partial, the first being 1
	attack  float64             // seconds
	decay   float64             // 1/s, of the level; 0 for held notes
	darken  float64             // 1/s, by which the partial of number h decays h times
	vibrato float64             // semitones
	spread  float64             // cents between its two oscillators, 0 for one
	scoop   float64             // semitones by which a note begins too low
	drive   float64             // of the whole part into a soft clipper; 0 for none
}

// falling partials: as the power of their number.
func falling(power float64) func(int) float64 {
	return func(h int) float64 { return math.Pow(float64(h), -power) }
}

// odd partials alone, as of a square wave or a clarinet.
func odd(power float64) func(int) float64 {
	return func(h int) float64 { return float64(h%2) * math.Pow(float64(h), -power) }
}

// listed partials, and none above.
func listed(a ...float64) func(int) float64 {
	return func(h int) float64 {
		if h > len(a) {
			return 0
		}
		return a[h-1]
	}
}

// formants shape falling partials as a mouth does; the centres are those of
// G. E. Peterson & H. L. Barney, JASA 24 (1952), for "ah", on a note of 330 Hz.
func formants(h int) float64 {
	a := 0.05
	for _, f := range []float64{730, 1090, 2440} {
		d := (330*float64(h) - f) / 150
		a += 1 / (1 + d*d)
	}
	return a / math.Sqrt(float64(h))
}

var bassVoices = []voice{
	{name: "sine", partial: listed(1)},
	{name: "sub with a third and a fifth partial", partial: listed(1, 0.25, 0.4, 0.1, 0.25)},
	{name: "saw", partial: falling(1), darken: 1},
	{name: "dark saw", partial: falling(1.8)},
	{name: "square", partial: odd(1)},
	{name: "reese", partial: falling(1), spread: 18},
	{name: "picked", partial: falling(1.2), decay: 3, darken: 1.5},
	{name: "driven", partial: listed(1, 0.3), drive: 4},
}

// fifthPartial is a bass whose overtone at the major third is as loud as its
// fundamental.
var fifthPartial = voice{name: "loud fifth partial", partial: listed(1, 0.5, 0.5, 0.4, 1, 0.2), drive: 1}

var chordVoices = []voice{
	{name: "pad", partial: falling(1.3), attack: 0.1, spread: 12},
	{name: "saws", partial: falling(1), spread: 20},
	{name: "organ", partial: listed(1, 0.8, 0.6, 0.5, 0.3, 0.4, 0, 0.4)},
	{name: "electric piano", partial: listed(1, 0.3, 0.1, 0, 0, 0.1, 0, 0.05), decay: 1.5, darken: 2},
	{name: "piano", partial: falling(1.1), decay: 1.5, darken: 1.2},
	{name: "square", partial: odd(1.2)},
	{name: "strings", partial: falling(1), attack: 0.08, vibrato: 0.15, spread: 8},
	{name: "muted", partial: falling(1.4), decay: 8, darken: 3},
}

var guitarVoices = []voice{
	{name: "driven guitar", partial: falling(1), decay: 0.5, drive: 3},
	{name: "high-gain guitar", partial: falling(1), decay: 0.3, drive: 12},
	{name: "clean guitar", partial: falling(1.2), decay: 2, darken: 1, drive: 0.7},
}

var melodyVoices = []voice{
	{name: "voice", partial: formants, attack: 0.05, vibrato: 0.4, scoop: 0.8},
	{name: "saw lead", partial: falling(1), vibrato: 0.2, spread: 6},
	{name: "flute", partial: listed(1, 0.3, 0.1), attack: 0.05, vibrato: 0.2},
	{name: "bells", partial: listed(1, 0, 0, 0.5, 0, 0, 0, 0.2), decay: 4},
}

// cycle renders one cycle without partials above 7 kHz; the high half, from the
// third partial, apart.
func (v *voice) cycle(hz float64) (low, high []float64) {
	low, high = make([]float64, tableSize+1), make([]float64, tableSize+1)
	for h := 1; float64(h)*hz < 7000 && h <= 40; h++ {
		a, w := v.partial(h), low
		if a == 0 {
			continue
		}
		if h > 2 {
			w = high
		}
		for i := range w {
			w[i] += a * math.Sin(2*math.Pi*float64(h*i%tableSize)/tableSize)
		}
	}
	return low, high
}

// part renders notes, in beats, to n samples at the given rate.
func (v *voice) part(rnd *rand.Rand, notes []note, bpm, cents float64, n, rate int) []float64 {
	out := make([]float64, n)
	cycles := map[float64][2][]float64{}
	for _, p := range notes {
		hz := 440 * math.Exp2((p.pitch-69)/12+cents/1200)
		if cycles[hz][0] == nil {
			low, high := v.cycle(hz)
			cycles[hz] = [2][]float64{low, high}
		}
		from := int(p.at * 60 / bpm * float64(rate))
		if from >= n {
			continue
		}
		dst := out[from:min(from+int(p.beats*60/bpm*float64(rate)), n)]
		level := p.level * between(rnd, 0.8, 1)
		v.sound(dst, cycles[hz], hz*math.Exp2(v.spread/2400), level, rate)
		if v.spread > 0 {
			v.sound(dst, cycles[hz], hz*math.Exp2(-v.spread/2400), level, rate)
		}
	}
	level(out, 0.2)
	if v.drive > 0 {
		for i, x := range out {
			out[i] = math.Tanh(v.drive * 3 * x)
		}
		level(out, 0.2)
	}
	return out
}

// bendEvery is for how many samples the pitch of a note stays.
const bendEvery = 32

// sound adds one note.
func (v *voice) sound(dst []float64, cycle [2][]float64, hz, level float64, rate int) {
	phase, step, dark := 0.0, 0.0, 1.0
	decay, darken := math.Exp(-v.decay/float64(rate)), math.Exp(-2*v.darken/float64(rate))
	attack, release := max(v.attack, 0.004)*float64(rate), 0.01*float64(rate)
	for i := range dst {
		if i%bendEvery == 0 {
			x := float64(i) / float64(rate)
			bend := v.vibrato*math.Sin(2*math.Pi*5.5*x) - v.scoop*math.Exp(-x*20)
			step = tableSize * hz / float64(rate) * math.Exp2(bend/12)
		}
		if phase += step; phase >= tableSize {
			phase -= tableSize
		}
		at := int(phase)
		env := level * min(1, float64(i)/attack, float64(len(dst)-i)/release)
		dst[i] += env * (cycle[0][at] + dark*cycle[1][at])
		level, dark = level*decay, dark*darken
	}
}

// level scales x to a root mean square.
func level(x []float64, rms float64) {
	sum := 0.0
	for _, v := range x {
		sum += v * v
	}
	if sum == 0 {
		return
	}
	f := rms / math.Sqrt(sum/float64(len(x)))
	for i := range x {
		x[i] *= f
	}
}
