package key

import (
	"math"
	"testing"
)

// alteration is what is other in a song from its third section on, by section.
type alteration struct {
	name  string
	loops [2]map[int]string // of major and of minor songs
	up    map[int]int
}

// alterations: a song that goes up for its last chorus changes its key; one of which two sections
// are in the relative key, or of which the break is on one chord, does not.
var alterations = []alteration{
	{name: "the last chorus a tone up", up: map[int]int{4: 2}},
	{name: "the last chorus a semitone up", up: map[int]int{4: 1}},
	{name: "two sections in the relative key", loops: [2]map[int]string{
		Major: {2: "vi IV I V", 3: "vi ii vi iii"}, Minor: {2: "bIII bVII i bVI", 3: "bIII bVI bIII bVII"}}},
	{name: "a break on the tonic", loops: [2]map[int]string{Major: {2: "I"}, Minor: {2: "i"}}},
	{name: "a break on the fourth", loops: [2]map[int]string{Major: {2: "IV"}, Minor: {2: "iv"}}},
	{name: "a break on the sixth", loops: [2]map[int]string{Major: {2: "vi"}, Minor: {2: "bVI"}}},
	{name: "a break on the seventh or fifth", loops: [2]map[int]string{Major: {2: "V"}, Minor: {2: "bVII"}}},
}

// altered plays a song with an alteration, and tells where its last chorus begins, in seconds.
func altered(row int, a *alteration) (s song, r Result, lastChorus float64) {
	s, rnd := newSong(row, 21)
	s.bpm, s.cut = 100+0.3*s.bpm, "whole" // 124 to 153: each section of 16 bars holds for 25 s
	s.sections = []songSection{{8, songDrums}, {16, everything}, {16, songChords | songMelody}, {16, everything}, {8, songDrums}}
	if a.up != nil {
		s.sections = []songSection{{8, songDrums}, {16, everything}, {8, songChords | songMelody}, {16, everything}, {16, everything}, {4, songDrums}}
	}
	s.ups, s.loops = a.up, map[int][]chord{}
	for i, loop := range a.loops[s.key.Mode] {
		s.loops[i] = parseChords(loop)
	}
	bars := 0
	for i, x := range s.sections {
		if i == 4 {
			lastChorus = s.lead + float64(4*bars)*60/s.bpm
		}
		bars += x.bars
	}
	s.from, s.to = 0, s.lead+float64(4*bars)*60/s.bpm
	return s, listen(s.render(rnd, testRate), testRate).Result(), lastChorus
}

// Eight songs with each alteration, one with the first without DUBGAUGE_FULL.
func TestSongsThatChange(t *testing.T) {
	const within = 10      // seconds: two segments
	const least = 5.0 / 8. // of the songs that go up: 6 of 8 are named, one of them by a fifth
	rows, list := 1, alterations[:1]
	if fullTable {
		rows, list = len(songRows), alterations
	}
	for i := range list {
		a := &list[i]
		n, named, right, home := 0., 0., 0., 0.
		for row := 0; row < rows; row += 2 {
			s, r, at := altered(row, a)
			n++
			if len(r.Changes) > 0 {
				named++
			}
			if len(r.Changes) == 1 && math.Abs(r.Changes[0].AtS-at) <= within && r.Changes[0].From.Transposed(a.up[4]) == r.Changes[0].To {
				right++
			}
			if r.Key == s.key {
				home++
			}
			t.Logf("%s: %v: %v, then %v, confidence %.2f, changes %v, the last chorus at %.0f s", a.name, &s, r.Key, r.RunnerUp, r.Confidence, r.Changes, at)
		}
		t.Logf("%s: of %.0f songs a change is named in %.0f, the right one in %.0f; the key is that of the first part in %.0f", a.name, n, named, right, home)
		if a.up != nil && right < least*n {
			t.Errorf("%s: %.0f of %.0f", a.name, right, n)
		}
		if a.up == nil && named > 0 {
			t.Errorf("%s: a change is named", a.name)
		}
	}
}
