package key

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
)

// This file holds songs of sections, as a DJ's tracks are: layers come and go at the starts of
// sections, where the loop begins anew. Their loops are of one, two and four chords that belong
// to two keys or more; what tells the key is where the loop begins. Instruments and parts are
// others than those of the yardstick's pieces.

// songMusic is one row: loops that a musician would write in that mode, "-" marking those of
// which the first bar is not the tonic chord.
type songMusic struct {
	name  string
	mode  Mode
	loops []string
	scale []int // of the melody
}

// Loops: P. Tagg, Everyday Tonality II (2014), chapters on shuttles and loops; which of their
// chords is the tonic is that of his examples: the one that begins.
var songRows = []songMusic{
	{"i iv", Minor, []string{"i i iv iv", "i iv", "i i i iv", "i7 i7 iv7 iv7", "i i i i iv iv iv iv"}, aeolian},
	{"i VI", Minor, []string{"i i bVI bVI", "i bVI", "i i i bVI", "i7 i7 bVIM7 bVIM7"}, aeolian},
	{"i VII", Minor, []string{"i i bVII bVII", "i bVII", "i i i bVII", "i7 bVII i7 i7"}, aeolian},
	{"i v, i III", Minor, []string{"i i v v", "i v", "i i bIII bIII", "i7 i7 i7 v7"}, aeolian},
	{"i VI VII", Minor, []string{"i i bVI bVII", "i bVII bVI bVII", "i bVI bVII i", "- bVI bVII i i", "- bVI bVII i v"}, aeolian},
	{"i VI III VII", Minor, []string{"i bVI bIII bVII", "i bVII bVI bIII", "i bIII bVII bVI", "i bIII bVII iv"}, aeolian},
	{"i iv VI v", Minor, []string{"i iv bVI v", "i bVI iv v", "i iv bVI bVII", "i bIII iv bVI", "i v bVI iv"}, aeolian},
	{"i iv V", Minor, []string{"i i iv V", "i iv i V", "i bVI iv V", "- iv V i i"}, harmonic},
	{"dorian, phrygian", Minor, []string{"i i IV IV", "i IV", "i i bII i", "i bVII IV i"}, dorian},
	{"one minor chord", Minor, []string{"i i i i", "i7 i7 i7 i7", "i9", "i5 i5"}, aeolian},
	{"I IV", Major, []string{"I I IV IV", "I IV", "I I I IV", "IM7 IM7 IVM7 IVM7"}, ionian},
	{"I V, I bVII", Major, []string{"I I V V", "I V", "I I bVII bVII", "I bVII IV I"}, ionian},
	{"I vi, I ii", Major, []string{"I I vi vi", "I vi", "I I ii ii", "I I I vi"}, ionian},
	{"I V vi IV", Major, []string{"I V vi IV", "I vi IV V", "I IV vi V", "I V ii IV", "I iii vi IV"}, ionian},
	{"I IV V", Major, []string{"I I IV V", "I IV V IV", "- ii V I I", "- IV V I I", "- IV I V I"}, ionian},
	{"one major chord", Major, []string{"I I I I", "I7 I7 I7 I7", "I6"}, majorFive},
}

// layer is what may sound in a section.
type layer int

const (
	songDrums layer = 1 << iota
	songBass
	songChords
	songMelody
	everything = songDrums | songBass | songChords | songMelody
)

// songSection is so many bars of some layers.
type songSection struct {
	bars   int
	layers layer
}

// song is one piece: all of it follows from its row and seed. Odd seeds are shown, even ones
// are for fitting.
type song struct {
	music      *songMusic
	loop       []chord
	key        Key
	seed       uint64
	bpm, cents float64
	sections   []songSection
	lead       float64 // seconds of silence before it
	from, to   float64 // seconds of it that are heard
	cut        string  // what these are
	beatsEach  float64 // of a chord
	// What is other in a section: its loop, by how many semitones it lies higher.
	loops map[int][]chord
	ups   map[int]int
}

// songForms are the sections that songs begin, go on and end with.
var songForms = [3][][]songSection{
	{
		{{8, songDrums}, {8, songDrums | songBass}}, {{16, songDrums}}, {{8, songDrums | songChords}}, {{8, songChords}, {8, songChords | songDrums}},
		{{8, songMelody | songChords}}, {{4, songChords}, {4, songChords | songBass}}, {{8, everything &^ songMelody}}, {{8, songDrums}, {8, songDrums | songMelody}},
	},
	{
		{{16, everything}, {8, songChords | songMelody}, {16, everything}}, {{16, everything &^ songMelody}, {8, songChords}, {8, everything}},
		{{8, everything &^ songChords}, {8, everything}, {8, songChords | songMelody}, {8, everything}}, {{24, everything &^ songMelody}, {8, everything}},
		{{16, everything &^ songMelody}, {8, songMelody}, {16, everything &^ songBass}},
	},
	{{{8, songDrums | songBass}, {4, songDrums}}, {{8, songDrums}}, {{8, songChords}}, nil, {{8, everything &^ songChords}}},
}

func newSong(row int, seed uint64) (s song, rnd *rand.Rand) {
	rnd = rand.New(rand.NewPCG(seed, 7100+uint64(row)))
	s = song{music: &songRows[row], seed: seed, beatsEach: 4}
	loop, away := strings.CutPrefix(pick(rnd, s.music.loops), "- ")
	s.loop, s.key = parseChords(loop), Key{rnd.IntN(12), s.music.mode}
	if !away && len(s.loop) <= 4 && rnd.IntN(6) == 0 {
		s.beatsEach = 8
	}
	s.bpm, s.cents = between(rnd, 80, 176), between(rnd, -40, 40)
	for _, forms := range songForms {
		s.sections = append(s.sections, pick(rnd, forms)...)
	}
	if rnd.IntN(10) < 7 {
		s.lead = between(rnd, 0, 0.3)
	}
	bars := 0
	for _, x := range s.sections {
		bars += x.bars
	}
	s.to, s.cut = s.lead+float64(4*bars)*60/s.bpm, "whole"
	if p := rnd.IntN(10); p < 2 {
		s.cut, s.from = "clip of the middle", between(rnd, s.to/5, s.to-35)
	} else if p < 3 {
		s.cut = "first 30 s after the intro"
		s.from = s.lead + float64(4*len(s.loop))*60/s.bpm*s.beatsEach/4*math.Ceil(20/float64(len(s.loop)))
	}
	if s.cut != "whole" {
		s.from = max(s.from, 0)
		s.to = min(s.to, s.from+30)
	}
	return s, rnd
}

func (s *song) String() string {
	return fmt.Sprintf("%s in %v, seed %d: %.0f BPM, %s, %v", s.music.name, s.key, s.seed, s.bpm, s.cut, s.sections)
}
