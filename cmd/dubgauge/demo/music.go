package demo

import (
	"math/rand/v2"

	"dubgauge/cmd/dubgauge/sound"
)

// style is how a genre moves: sixteenth-note steps of a bar, from 0.
type style struct {
	kick, snare, hat, bass, stab []int
	sustained                    bool // the bass holds its notes
}

var (
	house = style{kick: []int{0, 4, 8, 12}, snare: []int{4, 12}, hat: []int{2, 6, 10, 14},
		bass: []int{2, 3, 6, 10, 11, 14}, stab: []int{3, 6, 11}}
	techno = style{kick: []int{0, 4, 8, 12}, snare: []int{12}, hat: []int{2, 6, 10, 14, 15},
		bass: []int{1, 2, 3, 5, 6, 7, 9, 10, 11, 13, 14, 15}, stab: []int{0, 3, 6, 10}}
	drumAndBass = style{kick: []int{0, 10}, snare: []int{4, 12}, hat: []int{0, 2, 4, 6, 8, 10, 12, 14},
		bass: []int{0, 6, 10}, stab: []int{6, 14}, sustained: true}
)

// song is what a track is made of, before mastering.
type song struct {
	style style
	bpm   float64
	root  float64 // MIDI note of the sub, about 29 (F1) to 33 (A1)
	seed  uint64
}

// The mean power of each part in dB, which fixes the balance of the low end:
// sub about 3 dB under what lies above 150 Hz, bass about level with it.
const (
	subLevel  = -17.0
	bassLevel = -14.5
	topLevel  = -14.0
	width     = 0.25 // how far the upper parts differ between the channels
	stabGain  = 0.3  // of each note of a chord, against the drums
)

// length of the track in seconds: the loudest 30 s, a short intro, and a little
// that differs from track to track.
func (s *song) length() float64 { return 35 + float64(s.seed*5%17)/4 }

// bars of the progression: how far the chord's root lies from the song's, in
// semitones, and its third. i i VI VII of the minor key.
var progression = []struct{ root, third float64 }{{0, 3}, {0, 3}, {-4, 4}, {-2, 4}}

// render plays the song into two channels.
func (s *song) render() (left, right []float64) {
	n := int(s.length() * sound.Rate)
	r := rand.New(rand.NewPCG(s.seed, 1))
	sub, bass := make([]float64, n), make([]float64, n)
	topL, topR := make([]float64, n), make([]float64, n)
	step := 60 / s.bpm / 4
	play := func(into []float64, bar int, steps []int, v voice) {
		for _, k := range steps {
			v(into, int((float64(bar*16+k)*step)*sound.Rate))
		}
	}
	for bar := 0; float64(bar*16)*step < s.length(); bar++ {
		chord := progression[bar%len(progression)]
		root := s.root + chord.root
		hold := 1.5 * step
		if s.style.sustained {
			hold = 4 * step
		}
		play(bass, bar, s.style.kick, kick(52))
		if bar >= 2 { // the intro has no bass
			play(sub, bar, s.style.bass, tone(lowest(root), hold, 1, 1, 1))
			play(bass, bar, s.style.bass, tone(lowest(root)*2, hold, 2, 1.6, 4))
		}
		for _, ch := range [][]float64{topL, topR} {
			play(ch, bar, s.style.kick, tick)
			play(ch, bar, s.style.snare, noise(r, 2, 0.18, 22, 1))
			play(ch, bar, s.style.hat, noise(r, 0.8, 0.06, 60, 1))
			for i, up := range []float64{24, 24 + chord.third, 31, 36} {
				hz := sound.Note(root+up) * (1 + 0.0007*float64(i)*(r.Float64()-0.5))
				play(ch, bar, s.style.stab, once(2*step, stabGain, tone(hz, 2*step, 7, 1, 24)))
			}
		}
	}
	return s.mix(sub, bass, topL, topR)
}

// lowest is the frequency of a sub note, moved into the octave from 38 Hz.
func lowest(n float64) float64 {
	hz := sound.Note(n)
	for hz > 57 {
		hz /= 2
	}
	for hz < 38 {
		hz *= 2
	}
	return hz
}

// mix keeps each part to its band, sets its level, and adds them up.
func (s *song) mix(sub, bass, topL, topR []float64) (left, right []float64) {
	sound.Steep(sub, 60, false)
	sound.Steep(bass, 62, true)
	sound.Steep(bass, 140, false)
	for _, t := range [][]float64{topL, topR} {
		sound.Steep(t, 170, true)
	}
	for i := range topL { // narrow the upper parts a little
		m, d := (topL[i]+topR[i])/2, (topL[i]-topR[i])/2*(1+width)
		topL[i], topR[i] = m+d, m-d
	}
	sound.Level(sub, subLevel)
	sound.Level(bass, bassLevel)
	sound.Level(topL, topLevel)
	sound.Level(topR, topLevel)
	for i := range sub {
		topL[i] += sub[i] + bass[i]
		topR[i] += sub[i] + bass[i]
	}
	return topL, topR
}
