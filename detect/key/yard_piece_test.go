package key

import (
	"fmt"
	"math"
	"math/rand/v2"
)

// yardPiece is one piece of the yardstick: everything about it follows from its
// row, its tonic and its seed. Odd seeds are shown, even ones are for fitting.
type yardPiece struct {
	music *music
	key   Key
	seed  uint64
	// drawn
	bpm, cents   float64
	seconds      float64
	bass, chord  voice
	melody       voice
	drums, sings bool
	lossy        bool // one of those that TestYardstickLossy takes
	squashed     bool
	moves        int // semitones by which the second half of a whole track lies higher
}

const (
	clipSeconds  = 30
	wholeSeconds = 100
)

// newYardPiece draws what a piece sounds like. One in eight is a whole track.
func newYardPiece(m *music, tonic int, seed uint64) (p yardPiece, rnd *rand.Rand) {
	h := uint64(0)
	for _, c := range m.name {
		h = h*31 + uint64(c)
	}
	rnd = rand.New(rand.NewPCG(seed, h*12+uint64(tonic)))
	p = yardPiece{music: m, key: Key{tonic, m.mode}, seed: seed, seconds: clipSeconds}
	if rnd.IntN(8) == 0 {
		p.seconds = wholeSeconds
	}
	p.bpm, p.cents = between(rnd, 85, 178), between(rnd, -50, 50)
	p.bass, p.chord, p.melody = pick(rnd, bassVoices), pick(rnd, chordVoices), pick(rnd, melodyVoices)
	switch m.with {
	case guitars:
		p.chord = pick(rnd, guitarVoices)
	case thirdInSub:
		p.bass = fifthPartial
	}
	p.drums, p.sings = rnd.Float64() < 0.85, rnd.Float64() < 0.6
	if m.with == guitars && m.mode == Major {
		p.sings = true // the chords have no third
	}
	p.lossy, p.squashed = rnd.IntN(8) == 0, rnd.IntN(2) == 0
	return p, rnd
}

func (p *yardPiece) String() string {
	return fmt.Sprintf("%s in %v, seed %d: %.0f BPM, %+.0f cents, %s, %s, melody %v (%s), drums %v",
		p.music.name, p.key, p.seed, p.bpm, p.cents, p.bass.name, p.chord.name, p.sings, p.melody.name, p.drums)
}

// right tells whether k is the piece's key. At 45 cents and more it is as well the
// semitone above or below, tuned to the other side.
func (p *yardPiece) truth(k Key) Key {
	step := 0
	if p.cents > 45 {
		step = 1
	} else if p.cents < -45 {
		step = -1
	}
	if other := (Key{(p.key.Tonic + step + 12) % 12, p.key.Mode}); step != 0 && k == other {
		return other
	}
	return p.key
}

// score composes the parts.
func (p *yardPiece) score(rnd *rand.Rand) (bass, chords, melody []note, bars int) {
	tonic := middleC + float64(p.key.Tonic)
	if p.music.with == bassLine {
		bass = riff(rnd, tonic, p.music.scale)
		if rnd.Float64() < 0.3 { // a stab now and then
			chords = comp(0, []float64{octave(tonic, 55), octave(tonic+float64(p.music.scale[1+len(p.music.scale)/5]), 55)}, 1, []float64{2.5})
		}
		loop := []chord{{0}, {0}}
		if p.sings && rnd.Float64() < 0.5 {
			melody = playMelody(rnd, tonic, loop, p.music.scale)
		}
		return bass, chords, melody, 2
	}
	loop := rockLoop(rnd)
	if len(p.music.loops) > 0 {
		loop = parseChords(pick(rnd, p.music.loops))
	}
	if p.sings {
		melody = playMelody(rnd, tonic, loop, p.music.scale)
	}
	return playBass(rnd, tonic, loop), playChords(rnd, tonic, loop), melody, len(loop)
}

// repeat plays a loop of so many bars from one beat to another of a piece; the loop
// may have begun before it.
func repeat(notes []note, bars int, from, to, begun float64) (out []note) {
	for at := from - begun; at < to; at += float64(4 * bars) {
		for _, n := range notes {
			if n.at += at; n.at >= from && n.at < to {
				out = append(out, n)
			}
		}
	}
	return out
}

// arrangement is a piece as notes in beats from its first sample.
type arrangement struct {
	bass, chords, melody []note
	drums                []hit
	kit                  drumKit
	changeAt             float64 // seconds, where the second half begins
}

// arrange plays the loop throughout. A clip begins anywhere in it; a whole track begins
// and ends with drums, and has a break without bass.
func (p *yardPiece) arrange(rnd *rand.Rand) (a arrangement) {
	bass, chords, melody, bars := p.score(rnd)
	loop, to := float64(4*bars), p.seconds*p.bpm/60
	from, begun := 0.0, math.Floor(between(rnd, 0, loop))
	gap := to
	if p.seconds == wholeSeconds {
		from, begun, gap = math.Floor(to/32)*4, 0, math.Floor(to/2/loop)*loop
		to = gap + math.Floor(to*3/8/loop)*loop
	}
	a.bass = append(repeat(bass, bars, from, gap, begun), repeat(bass, bars, gap+loop, to, 0)...)
	a.chords, a.melody = repeat(chords, bars, from, to, begun), repeat(melody, bars, from, to, begun)
	a.changeAt = gap * 60 / p.bpm
	for _, notes := range [][]note{a.bass, a.chords, a.melody} {
		for i := range notes {
			if notes[i].at >= gap {
				notes[i].pitch += float64(p.moves)
			}
		}
	}
	if p.drums {
		a.kit = newDrumKit(rnd)
		total := p.seconds * p.bpm / 60
		for _, h := range a.kit.hits(rnd, int(total/4)+2) {
			if h.at -= math.Mod(begun, 4); h.at >= 0 && h.at < total {
				a.drums = append(a.drums, h)
			}
		}
	}
	return a
}

// render plays the piece at the given rate.
func (p *yardPiece) render(rnd *rand.Rand, rate int) []float32 {
	a := p.arrange(rnd)
	n := int(p.seconds * float64(rate))
	out := make([]float64, n)
	add := func(x []float64, dB float64) {
		g := math.Pow(10, dB/20)
		for i, v := range x {
			out[i] += g * v
		}
	}
	add(p.bass.part(rnd, a.bass, p.bpm, p.cents, n, rate), between(rnd, -3, 3))
	add(p.chord.part(rnd, a.chords, p.bpm, p.cents, n, rate), between(rnd, -10, 0))
	add(p.melody.part(rnd, a.melody, p.bpm, p.cents, n, rate), between(rnd, -10, -2))
	room(out, rate, between(rnd, 0, 0.35))
	if p.drums {
		add(a.kit.part(rnd, a.drums, p.bpm, n, rate), between(rnd, -2, 5))
	}
	return p.master(out)
}

// room adds echoes from three walls, that smear chords into each other.
func room(x []float64, rate int, wet float64) {
	for _, seconds := range []float64{0.031, 0.053, 0.087} {
		d := int(seconds * float64(rate))
		for i := d; i < len(x); i++ {
			x[i] += wet * 0.8 * x[i-d]
		}
	}
}

// master brings the piece to a peak of 0.8; a squashed one through a soft clipper
// 6 dB in.
func (p *yardPiece) master(x []float64) []float32 {
	level(x, 0.2)
	peak := 0.0
	for i, v := range x {
		if p.squashed {
			x[i] = math.Tanh(2.5 * v)
		}
		peak = max(peak, math.Abs(x[i]))
	}
	out := make([]float32, len(x))
	for i, v := range x {
		out[i] = float32(0.8 * v / max(peak, 1e-9))
	}
	return out
}
