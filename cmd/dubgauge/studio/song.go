package studio

import (
	"hash/fnv"
	"math"
	"math/rand/v2"

	"dubgauge/cmd/dubgauge/sound"
)

// Song is everything that was decided about a piece before a note is rendered.
type Song struct {
	Genre    *Genre
	Seed     uint64
	BPM      float64
	Root     float64 // Hz, of the bass
	Minor    bool
	Swing    float64
	Sections []Section

	kick, snare, hats, perc []int
	bass                    bassLine
	timbre                  timbre
	layers                  []layer
	progression             []int // semitones of the chord's roots, a bar each
	kickHz, kickTail        float64
	kickClick, kickBend     float64
	bassTone                float64 // Hz, where the bass is filtered
	brightness              float64 // Hz, where the music is filtered
	width, wet, roomSeconds float64
	duckDepth, duckSeconds  float64
	density                 float64 // 0 to 1
	parts                   parts
	character               [regionCount]float64 // dB, how this mix differs from its kind
	rumbleCut, air          float64              // Hz, where the mix ends at both sides
	// LoudnessOffset is how much louder or quieter than others this master is
	// made, in LU.
	LoudnessOffset float64

	r *rand.Rand
}

// How much the decisions of mixing and mastering differ from record to record,
// standard deviations. Fitted to the spread by third octave that package
// documentation names, and for the level to what the bench asks (0.7 LU).
const (
	partSpread     = 1.2 // dB, of each part
	tiltSpread     = 0.3 // dB an octave
	regionSpread   = 1.0 // dB, of each region, beside the tilt
	loudnessSpread = 0.7 // LU
)

// source of randomness of a genre and a seed, for one purpose.
func source(genre string, seed uint64, purpose string) *rand.Rand {
	h := fnv.New64a()
	h.Write([]byte(genre + "/" + purpose))
	return rand.New(rand.NewPCG(seed, h.Sum64()))
}

func pick[T any](r *rand.Rand, list []T) T { return list[r.IntN(len(list))] }

func between(r *rand.Rand, low, high float64) float64 { return low + (high-low)*r.Float64() }

// early takes one of list, the first ones rather than the last.
func early[T any](r *rand.Rand, list []T) T {
	return list[int(math.Pow(r.Float64(), 1.5)*float64(len(list)))]
}

// Compose decides about a song.
func Compose(g *Genre, seed uint64) *Song {
	r := source(g.Name, seed, "song")
	s := &Song{Genre: g, Seed: seed, r: r}
	s.BPM = math.Round(between(r, g.BPM[0], g.BPM[1])*2) / 2
	s.Root = root(r, g)
	s.Minor = r.Float64() < 0.8
	s.Swing = between(r, g.Swing[0], g.Swing[1])
	s.kick, s.snare, s.hats, s.perc = pick(r, g.Kick), pick(r, g.Snare), pick(r, g.Hats), pick(r, g.Perc)
	s.bass, s.timbre = pick(r, g.Bass), early(r, g.Timbres)
	s.chooseLayers()
	s.progression = pick(r, progressions)
	s.kickHz, s.kickTail = between(r, g.KickHz[0], g.KickHz[1]), between(r, g.KickTail[0], g.KickTail[1])
	s.kickClick, s.kickBend = between(r, 0.15, 1), between(r, 110, 320)
	s.bassTone, s.brightness = 220*math.Pow(6, r.Float64()), 1200*math.Pow(7, r.Float64())
	s.width, s.wet, s.roomSeconds = between(r, 0.2, 1), between(r, 0.08, 0.4), between(r, 0.5, 2.6)
	s.duckDepth, s.duckSeconds = between(r, 0.1, 0.85), between(r, 0.06, 0.2)
	s.density = r.Float64()
	s.mixDecisions()
	s.arrange()
	return s
}

// root draws the key and puts it into the genre's range. Bass players like the
// middle of it, where systems carry the root: each draw must pass a coin whose
// odds fall towards both ends.
func root(r *rand.Rand, g *Genre) float64 {
	for {
		hz := sound.Note(24 + float64(r.IntN(24)))
		if hz < g.Root[0] || hz > g.Root[1] {
			continue
		}
		off := math.Log2(hz / favouriteRoot)
		if r.Float64() < math.Exp(-off*off/(2*rootSpread*rootSpread)) {
			return hz
		}
	}
}

// Roots are drawn around A1 flat, with a standard deviation in octaves. Common
// practice, no source.
const (
	favouriteRoot = 49.0
	rootSpread    = 0.22
)

// progressions in semitones from the root, four bars; the chords are of the
// natural minor scale on them.
var progressions = [][]int{{0, 0, -4, -2}, {0, 0, 0, 0}, {0, 3, -2, -4}, {0, -4, 3, -2}, {0, 0, 5, 3}, {0, -2, -4, -2}, {0, 0, 0, -2}}

func (s *Song) chooseLayers() {
	n := 2 + s.r.IntN(3)
	have := map[layer]bool{}
	for len(have) < min(n, len(s.Genre.Layers)) {
		l := early(s.r, s.Genre.Layers)
		if !have[l] {
			have[l] = true
			s.layers = append(s.layers, l)
		}
	}
}

// mixDecisions draws how this mix and its master differ from others of the
// genre.
func (s *Song) mixDecisions() {
	r, p := s.r, s.Genre.Parts
	vary := func(dB float64) float64 { return dB + partSpread*r.NormFloat64() }
	s.parts = parts{vary(p.kick), vary(p.bass), vary(p.drums), vary(p.music)}
	tilt := tiltSpread * r.NormFloat64()
	for i := range s.character {
		octaves := math.Log2(regions[i].centre() / 700)
		s.character[i] = tilt*octaves + regionSpread*r.NormFloat64()
	}
	s.rumbleCut, s.air = between(r, 18, 30), between(r, 14500, 19500)
	s.LoudnessOffset = loudnessSpread * r.NormFloat64()
}
