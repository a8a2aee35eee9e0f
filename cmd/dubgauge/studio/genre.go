package studio

// Genre is how a kind of music is put together. Steps are sixteenths of a bar,
// from 0; each list of patterns holds alternatives of which a song takes one.
type Genre struct {
	Name     string
	Four     bool       // a kick on every beat
	BPM      [2]float64 // range of the tempo
	Root     [2]float64 // Hz, range of the lowest root of the bass
	Swing    [2]float64 // how late the off sixteenths are, in sixteenths
	Kick     [][]int
	Snare    [][]int
	Hats     [][]int
	Perc     [][]int
	Bass     []bassLine
	Timbres  []timbre
	Layers   []layer // what may play above the bass, likeliest first
	Chords   bool    // the bass follows the chords
	KickHz   [2]float64
	KickTail [2]float64 // seconds to 1/e
	// Balance is the level of each region of the mix, dB against the whole; see
	// regions.
	Balance [regionCount]float64
	Parts   parts
}

// parts are the levels of kick, bass, drums and music in dB, of which only the
// differences count.
type parts struct{ kick, bass, drums, music float64 }

// bassLine is one bar of bass.
type bassLine struct {
	steps  []int
	length float64 // of a note, in sixteenths
	up     []int   // indices of notes that jump up an octave
	glide  bool
}

// timbre of a bass.
type timbre int

const (
	sine timbre = iota
	saw
	square
	reese // two detuned saws that beat
	fm
	wobble // a square through a filter that an LFO moves
)

// layer is a part above the bass.
type layer int

const (
	pad layer = iota
	stab
	arp
	lead
	vocal
)

// Genres are the nine of the bench.
var Genres = []*Genre{&house, &techno, &trance, &disco, &drumAndBass, &dubstep, &breaks, &twoStep, &dembow}

// GenreNamed finds a genre, nil if there is none.
func GenreNamed(name string) *Genre {
	for _, g := range Genres {
		if g.Name == name {
			return g
		}
	}
	return nil
}

var (
	fourKick = [][]int{{0, 4, 8, 12}}
	backbeat = [][]int{{4, 12}}
	offbeats = [][]int{{2, 6, 10, 14}, {2, 6, 10, 14, 15}, {0, 2, 3, 6, 7, 10, 11, 14}}
	eighths  = [][]int{{0, 2, 4, 6, 8, 10, 12, 14}, {0, 2, 3, 4, 6, 8, 10, 11, 12, 14}, {2, 4, 6, 10, 12, 14}}
	sixteen  = []int{0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15}
)
