package key

// Loops whose key a textbook of harmony names: each begins and ends its phrase
// in the tonic, or has the dominant that leads to it.

type loop struct {
	name  string
	mode  Mode
	notes []note
	beats float64
}

// middleC is the MIDI number of C4.
const middleC = 60

var chordLoops = []loop{
	{"I IV V I", Major, chords(middleC, major(0), major(5), major(7), major(0)), 16},
	{"I V vi IV", Major, chords(middleC, major(0), major(7), minor(9), major(5)), 16},
	{"I vi IV V", Major, chords(middleC, major(0), minor(9), major(5), major(7)), 16},
	{"ii V I I", Major, chords(middleC, minor(2), major(7), major(0), major(0)), 16},
	{"i iv V i", Minor, chords(middleC, minor(0), minor(5), major(7), minor(0)), 16},
	{"i VI iv v", Minor, chords(middleC, minor(0), major(8), minor(5), minor(7)), 16},
	{"i VI VII i", Minor, chords(middleC, minor(0), major(8), major(10), minor(0)), 16},
	{"i VII VI V", Minor, chords(middleC, minor(0), major(10), major(8), major(7)), 16},
	{"i i iv i", Minor, chords(middleC, minor(0), minor(0), minor(5), minor(0)), 16},
}

var bassLoops = []loop{
	{"minor arpeggio", Minor, line(36, 0, 0, 3, 0, 7, 0, 10, 7, 0, 0, 3, 5, 7, 5, 3, 2), 8},
	{"minor, falling", Minor, line(36, 0, 0, 0, 0, -2, -2, -2, -2, -4, -4, -4, -4, -5, -5, -1, -1, 0, 0, 3, 3, 2, 2, 0, 0), 12},
	{"major arpeggio", Major, line(36, 0, 0, 4, 0, 7, 0, 9, 7, 0, 0, 4, 5, 7, 5, 4, 2), 8},
	{"major walk", Major, line(36, 0, 2, 4, 5, 7, 9, 7, 5, 4, 4, 2, 2, 0, 0, -5, -5), 8},
}
