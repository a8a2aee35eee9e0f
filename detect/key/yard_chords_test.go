package key

import (
	"fmt"
	"strings"
)

// This file holds the progressions of the yardstick: TestYardstick plays them
// in all keys and counts how many are found. The key of each is the one that a
// musician would write in front of it:
//
//   - S. Kostka & D. Payne, Tonal Harmony (7th ed. 2013), for cadences, seventh
//     chords and blues, which is written in the major key of its tonic;
//   - P. Tagg, Everyday Tonality II (2014), for shuttles, loops, and the dorian,
//     phrygian and mixolydian modes, which are given as minor, minor and major
//     by their third;
//   - T. de Clercq & D. Temperley, "A corpus analysis of rock harmony", Popular
//     Music 30/1 (2011), for what rock chords follow each other.

// chord is one chord: its root and its tones, the root first, in semitones above
// the tonic of the key.
type chord []int

// numerals are the scale steps of Roman numerals, longest first.
var numerals = []struct {
	text string
	up   int
}{{"bVII", 10}, {"VII", 11}, {"bIII", 3}, {"III", 4}, {"bVI", 8}, {"VI", 9}, {"IV", 5}, {"bV", 6}, {"V", 7}, {"bII", 1}, {"II", 2}, {"I", 0}}

// colours are what may stand behind a numeral, as intervals that are added to the
// triad or, with a "!" in front, replace it.
var colours = map[string]struct {
	instead bool
	tones   []int
}{
	"": {}, "7": {false, []int{10}}, "M7": {false, []int{11}}, "6": {false, []int{9}}, "9": {false, []int{10, 14}},
	"5": {true, []int{7}}, "o": {true, []int{3, 6}}, "h7": {true, []int{3, 6, 10}}, "sus": {true, []int{5, 7}},
}

// parseChord reads a Roman numeral: upper case has a major third, lower case a
// minor one.
func parseChord(s string) chord {
	upper := strings.ToUpper(s)
	for _, n := range numerals {
		if !strings.HasPrefix(upper, strings.ToUpper(n.text)) {
			continue
		}
		third, letters := 4, strings.TrimLeft(s[:len(n.text)], "b")
		if letters == strings.ToLower(letters) {
			third = 3
		}
		c, known := colours[s[len(n.text):]]
		if !known {
			break
		}
		out := chord{n.up}
		if !c.instead {
			out = append(out, n.up+third, n.up+7)
		}
		for _, t := range c.tones {
			out = append(out, n.up+t)
		}
		return out
	}
	panic(fmt.Sprintf("no chord: %q", s))
}

// parseChords reads a loop, a chord a bar.
func parseChords(s string) (loop []chord) {
	for _, f := range strings.Fields(s) {
		loop = append(loop, parseChord(f))
	}
	return loop
}

// scales of the melodies and of the bass lines, in semitones above the tonic.
var (
	aeolian    = []int{0, 2, 3, 5, 7, 8, 10}
	dorian     = []int{0, 2, 3, 5, 7, 9, 10}
	phrygian   = []int{0, 1, 3, 5, 7, 8, 10}
	harmonic   = []int{0, 2, 3, 5, 7, 8, 11}
	ionian     = []int{0, 2, 4, 5, 7, 9, 11}
	mixolydian = []int{0, 2, 4, 5, 7, 9, 10}
	minorFive  = []int{0, 3, 5, 7, 10}
	majorFive  = []int{0, 2, 4, 7, 9}
	blueScale  = []int{0, 3, 4, 5, 7, 9, 10}
)

// music is one row of the yardstick.
type music struct {
	name  string
	mode  Mode
	loops []string // of which a piece takes one; none for a bass line alone
	scale []int    // of the melody, or of the bass line
	with  style
}

// style is what a row insists on; the rest is drawn.
type style int

const (
	anyStyle   style = iota
	bassLine         // a riff of the bass, with hardly a chord
	guitars          // distorted, and no pads
	thirdInSub       // the bass has a strong fifth partial
)

var yardMusic = []music{
	{"one minor chord", Minor, []string{"i7", "i", "i9", "i7 i7 i7 i7"}, minorFive, anyStyle},
	{"one major chord", Major, []string{"I", "I7", "I6", "I9"}, majorFive, anyStyle},
	{"minor sevenths in parallel", Minor, []string{"i7 i7 iv7 i7", "i7 bvii7 i7 iv7", "i9 i9 bvii9 v7", "i7 i7 v7 iv7"}, aeolian, anyStyle},
	{"power chords, minor", Minor, []string{"i5 bIII5 IV5 i5", "i5 i5 bVII5 bVI5", "i5 bVI5 bVII5 i5", "i5 bIII5 bVII5 IV5"}, minorFive, guitars},
	{"power chords, major", Major, []string{"I5 IV5 V5 I5", "I5 V5 VI5 IV5", "I5 I5 IV5 V5"}, ionian, guitars},
	{"dorian bass line", Minor, nil, dorian, bassLine},
	{"phrygian bass line", Minor, nil, phrygian, bassLine},
	{"minor bass line", Minor, nil, minorFive, bassLine},
	{"major bass line", Major, nil, majorFive, bassLine},
	{"blues", Major, []string{"I7 I7 I7 I7 IV7 IV7 I7 I7 V7 IV7 I7 V7", "I7 IV7 I7 I7 IV7 IV7 I7 I7 V7 V7 I7 I7"}, blueScale, anyStyle},
	{"minor blues", Minor, []string{"i7 i7 i7 i7 iv7 iv7 i7 i7 bVI7 V7 i7 i7", "i7 iv7 i7 i7 iv7 iv7 i7 i7 V7 iv7 i7 i7"}, minorFive, anyStyle},
	{"i-VI-III-VII", Minor, []string{"i bVI bIII bVII", "i bVI bIII bVII", "i bVI bVII bIII", "i bIII bVI bVII"}, aeolian, anyStyle},
	{"I-V-vi-IV", Major, []string{"I V vi IV", "I IV vi V", "I vi IV V", "I V IV V"}, ionian, anyStyle},
	{"ii-V-I", Major, []string{"ii7 V7 IM7 IM7", "IM7 vi7 ii7 V7", "iii7 vi7 ii7 V7 IM7 IM7 ii7 V7"}, ionian, anyStyle},
	{"ii-V-i", Minor, []string{"iih7 V7 i7 i7", "i7 bVI7 iih7 V7", "i7 iv7 iih7 V7"}, harmonic, anyStyle},
	{"i-VII-VI-V", Minor, []string{"i bVII bVI V", "i bVII bVI bVII", "i v bVI bVII", "i iv V i"}, harmonic, anyStyle},
	{"dorian shuttle", Minor, []string{"i7 IV7", "i IV", "i7 i7 IV9 IV9"}, dorian, anyStyle},
	{"phrygian shuttle", Minor, []string{"i bII", "i i bII i", "i bII bIII bII"}, phrygian, anyStyle},
	{"mixolydian loop", Major, []string{"I bVII IV I", "I bVII", "I I bVII IV"}, mixolydian, anyStyle},
	{"rock", Major, nil, mixolydian, guitars},
	{"loud overtones, minor", Minor, []string{"i7", "i bVI", "i i bVII i", "i i iv i"}, minorFive, thirdInSub},
	{"loud overtones, major", Major, []string{"I", "I IV", "I I V I", "I vi IV I"}, majorFive, thirdInSub},
}
