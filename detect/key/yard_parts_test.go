package key

import "math/rand/v2"

// This file composes the parts of a piece of the yardstick: bass, chords and
// melody, as notes in beats and MIDI numbers.

// rockNext are the chords that follow each other in rock, the commoner ones more
// than once: rounded from table 2 of de Clercq & Temperley (2011).
var rockNext = map[string][]string{
	"I": {"IV", "IV", "IV", "IV", "V", "V", "bVII", "bVII", "vi", "I"}, "IV": {"I", "I", "I", "I", "I", "V", "V", "bVII", "ii"},
	"V": {"I", "I", "I", "I", "IV", "IV", "IV", "vi", "vi"}, "bVII": {"I", "I", "I", "IV", "IV", "IV", "bVI"},
	"vi": {"IV", "IV", "V", "V", "ii", "I"}, "ii": {"V", "V", "IV", "IV", "I"}, "bVI": {"bVII", "bVII", "I", "V"},
}

func pick[T any](rnd *rand.Rand, list []T) T { return list[rnd.IntN(len(list))] }

func between(rnd *rand.Rand, from, to float64) float64 { return from + (to-from)*rnd.Float64() }

// rockLoop draws eight bars that begin with the tonic.
func rockLoop(rnd *rand.Rand) []chord {
	at, loop := "I", []chord{parseChord("I")}
	for len(loop) < 8 {
		at = pick(rnd, rockNext[at])
		loop = append(loop, parseChord(at))
	}
	return loop
}

// octave moves a pitch into the octave from low.
func octave(pitch, low float64) float64 {
	for pitch < low {
		pitch += 12
	}
	for pitch >= low+12 {
		pitch -= 12
	}
	return pitch
}

// bassRhythms are the steps (eighths of a bar) that a bass plays, with how far above
// the root in semitones.
var bassRhythms = [][][2]int{
	{{0, 0}, {1, 0}, {2, 0}, {3, 0}, {4, 0}, {5, 0}, {6, 0}, {7, 0}}, // eighths
	{{1, 0}, {3, 0}, {5, 0}, {7, 0}},                                 // between the kicks
	{{0, 0}, {1, 12}, {2, 0}, {3, 12}, {4, 0}, {5, 12}, {6, 0}, {7, 12}},
	{{0, 0}, {3, 0}, {6, 7}},
	{{0, 0}},
	{{0, 0}, {2, 7}, {4, 12}, {6, 7}},
}

// playBass follows the chords' roots.
func playBass(rnd *rand.Rand, tonic float64, loop []chord) (n []note) {
	rhythm, low := pick(rnd, bassRhythms), between(rnd, 28, 34)
	long := between(rnd, 0.5, 1)
	for b, c := range loop {
		root := octave(tonic+float64(c[0]), low)
		for i, s := range rhythm {
			until := 8
			if i+1 < len(rhythm) {
				until = rhythm[i+1][0]
			}
			n = append(n, note{float64(4*b) + float64(s[0])/2, float64(until-s[0]) / 2 * long, root + float64(s[1]), 1})
		}
	}
	return n
}

// riff draws two bars of bass on a scale: the tonic on the downbeats and on half
// of the other steps, each other step of the scale at least once.
func riff(rnd *rand.Rand, tonic float64, scale []int) (n []note) {
	low := octave(tonic, between(rnd, 28, 34))
	steps := rnd.Perm(14)[:len(scale)-1+rnd.IntN(2)]
	for i := range 16 {
		up := 0
		for j, s := range steps {
			if at := s + 1 + s/7; at == i { // 1 to 15 without 8
				up = scale[1+j%(len(scale)-1)]
			}
		}
		if up == 0 && i%8 != 0 && rnd.Float64() < 0.4 {
			continue
		}
		if up > 8 && rnd.Float64() < 0.6 {
			up -= 12
		}
		n = append(n, note{float64(i) / 2, 0.45, low + float64(up), 1})
	}
	return n
}

// playChords plays them held, as stabs, strummed or broken.
func playChords(rnd *rand.Rand, tonic float64, loop []chord) (n []note) {
	low, way := between(rnd, 48, 58), rnd.IntN(4)
	stabs := pick(rnd, [][]float64{{0.5, 1.5, 2.5, 3.5}, {0, 0.75, 1.5, 2.5}, {1.5, 3.25}, {1, 3}})
	for b, c := range loop {
		var tones []float64
		for _, t := range c {
			tones = append(tones, octave(tonic+float64(t), low))
		}
		if len(c) == 2 { // a power chord: root, fifth, octave
			tones = []float64{octave(tonic+float64(c[0]), 40), octave(tonic+float64(c[0]), 40) + 7, octave(tonic+float64(c[0]), 40) + 12}
		}
		n = append(n, comp(float64(4*b), tones, way, stabs)...)
	}
	return n
}

// comp plays one bar of a chord.
func comp(at float64, tones []float64, way int, stabs []float64) (n []note) {
	all := func(from, beats float64) {
		for _, t := range tones {
			n = append(n, note{at + from, beats, t, 1})
		}
	}
	switch way {
	case 0:
		all(0, 3.95)
	case 1:
		for _, s := range stabs {
			all(s, 0.4)
		}
	case 2:
		for i := range 8 {
			all(float64(i)/2, 0.48)
		}
	default:
		for i := range 16 {
			n = append(n, note{at + float64(i)/4, 0.24, tones[i%len(tones)] + 12*float64(i/len(tones)%2), 1})
		}
	}
	return n
}

// playMelody sings over the chords: chord tones on the beats, any of the scale
// between them.
func playMelody(rnd *rand.Rand, tonic float64, loop []chord, scale []int) (n []note) {
	low, density := between(rnd, 60, 68), between(rnd, 0.2, 0.6)
	for at := 0.0; at < float64(4*len(loop)); at += 0.5 {
		if rnd.Float64() > density {
			continue
		}
		p := pick(rnd, scale)
		if c := loop[int(at)/4]; rnd.Float64() < 0.5 {
			p = c[rnd.IntN(min(len(c), 3))]
		}
		n = append(n, note{at, pick(rnd, []float64{0.45, 0.9, 1.4}), octave(tonic+float64(p), low), 1})
	}
	return n
}
