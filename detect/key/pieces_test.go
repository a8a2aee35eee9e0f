package key

import (
	"fmt"
	"testing"
)

// Published pieces whose key is their title, in the public domain, entered as
// notes from memory: J. S. Bach, The Well-Tempered Clavier, Book I (1722).

// preludeC is Prelude 1 in C major, BWV 846, bars 1 to 19, which end in a
// cadence on C: each half bar is the same broken chord, of which the first two
// notes are held.
var preludeC = [][5]float64{
	{60, 64, 67, 72, 76}, {60, 62, 69, 74, 77}, {59, 62, 67, 74, 77}, {60, 64, 67, 72, 76},
	{60, 64, 69, 76, 81}, {60, 62, 66, 69, 74}, {59, 62, 67, 74, 79}, {59, 60, 64, 67, 72},
	{57, 60, 64, 67, 72}, {50, 57, 62, 66, 72}, {55, 59, 62, 67, 71}, {55, 58, 64, 67, 73},
	{53, 57, 62, 69, 74}, {53, 56, 62, 65, 71}, {52, 55, 60, 67, 72}, {52, 53, 57, 60, 65},
	{50, 53, 57, 60, 65}, {43, 50, 55, 59, 65}, {48, 52, 55, 60, 64},
}

func playPreludeC() (n []note, beats float64) {
	for _, c := range preludeC {
		for range 2 {
			n = append(n, note{beats, 2, c[0], 0.5}, note{beats + 0.25, 1.75, c[1], 0.4})
			for i := range 6 {
				n = append(n, note{beats + 0.5 + float64(i)/4, 0.25, c[2+i%3], 0.4})
			}
			beats += 2
		}
	}
	return n, beats
}

// preludeCMinor is Prelude 2 in C minor, BWV 847, bars 1 to 6: eight
// sixteenths for each hand, played twice a bar.
var preludeCMinor = []struct{ right, left [8]float64 }{
	{[8]float64{72, 63, 62, 63, 60, 63, 62, 63}, [8]float64{48, 55, 53, 55, 51, 55, 53, 55}},
	{[8]float64{68, 65, 64, 65, 60, 65, 64, 65}, [8]float64{48, 56, 55, 56, 53, 56, 55, 56}},
	{[8]float64{71, 65, 63, 65, 62, 65, 63, 65}, [8]float64{48, 56, 55, 56, 53, 56, 55, 56}},
	{[8]float64{72, 67, 65, 67, 63, 67, 65, 67}, [8]float64{48, 51, 50, 51, 55, 51, 50, 51}},
	{[8]float64{75, 68, 67, 68, 63, 68, 67, 68}, [8]float64{48, 56, 55, 56, 60, 56, 55, 56}},
	{[8]float64{74, 66, 64, 66, 62, 66, 64, 66}, [8]float64{48, 57, 55, 57, 54, 57, 55, 57}},
}

func playPreludeCMinor() (n []note, beats float64) {
	for _, bar := range preludeCMinor {
		for range 2 {
			for i := range 8 {
				at := beats + float64(i)/4
				n = append(n, note{at, 0.25, bar.right[i], 0.4}, note{at, 0.25, bar.left[i], 0.5})
			}
			beats += 2
		}
	}
	return n, beats
}

func TestTitlesNameTheKey(t *testing.T) {
	for _, piece := range []struct {
		name string
		play func() ([]note, float64)
		mode Mode
	}{
		{"Prelude in C major", playPreludeC, Major},
		{"Prelude in C minor", playPreludeCMinor, Minor},
	} {
		const bpm = 132
		notes, beats := piece.play()
		for up := range 12 {
			want := Key{up, piece.mode}
			t.Run(fmt.Sprint(piece.name, ", played in ", want), func(t *testing.T) {
				t.Parallel()
				x := tune{bpm: bpm, timbre: plucked, up: float64((up+6)%12 - 6), notes: notes, beats: beats,
					seconds: beats * 60 / bpm}.render(22050)
				if got := listen(x, 22050).Result(); got.Key != want {
					t.Errorf("found %v (runner-up %v, confidence %.2f)", got.Key, got.RunnerUp, got.Confidence)
				}
			})
		}
	}
}
