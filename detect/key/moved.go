package key

import "math"

const (
	// movedGain is by how much the notes and chords of one side must be more like those of the
	// other moved to another pitch than like them as they are, for the music to have moved: the
	// difference of two correlations. Tracks of even seeds that stay in their key reach 0.23,
	// those that move 0.4 and more; of odd ones 0.33, and two of 24 less.
	movedGain = 0.4
	// movedAlike is how alike, as a correlation, the notes must be then, and movedOdds by how much
	// two keys so far apart must explain the segments better than one, in natural logarithms of
	// odds: a part of a song that stays on its fourth is alike, too, but in the same key.
	movedAlike = 0.65
	movedOdds  = 6
	// keysCount is how much the logarithm of the odds of two keys so far apart, a segment,
	// counts beside that.
	keysCount = 0.1
)

// A song that goes over to another key mostly plays there what it played before, higher: the
// interval is plain where the key is not. P. Tagg, Everyday Tonality II (2014), "truck
// driver's modulation".
//
//	s(d) = (r(notes a + d, notes b) + r(chords a + d, chords b)) / 2 + keysCount max over k of log(p(a,k) p(b,k+d)) / segments
//
// moved gives the d from 1 to 11 of the greatest s(d) for a the segments from first to at, and b
// those from at to last.
func (p *plan) moved(first, at, last int) (best move) {
	a, b := p.tones[at].less(&p.tones[first]), p.tones[last].less(&p.tones[at])
	full := float64(max(p.fullOf(first, last), 1))
	var stays, stayOdds float64
	best.gain = math.Inf(-1)
	for d := range 12 {
		notes, odds := alike(a.all[:], b.all[:], d), p.jointly(first, at, last, d)
		s := (notes+alike(a.chords[:], b.chords[:], d))/2 + keysCount*odds/full
		if d == 0 {
			stays, stayOdds = s, odds
		} else if s-stays > best.gain {
			best = move{d, s - stays, notes, odds - stayOdds}
		}
	}
	return best
}

// move is by how many semitones music goes up: by how much s(d) exceeds s(0), how alike the
// notes are, and by how much the keys explain them better than one.
type move struct {
	up                int
	gain, notes, odds float64
}

// plain tells whether the music has moved.
func (m move) plain() bool {
	return m.gain >= movedGain && m.notes >= movedAlike && m.odds >= movedOdds
}

// tones are the notes and the chords that sound up to a place.
type tones struct {
	all    chroma
	chords perChord
}

// with is t and those of a segment, less is t without o.
func (t tones) with(p *part) tones {
	for i, v := range p.all {
		t.all[i] += v
	}
	for i, v := range p.chords.sounding {
		t.chords[i] += v
	}
	return t
}

func (t tones) less(o *tones) tones {
	for i, v := range o.all {
		t.all[i] -= v
	}
	for i, v := range o.chords {
		t.chords[i] -= v
	}
	return t
}

// fullOf is how many of some segments are full.
func (p *plan) fullOf(first, last int) (n int) {
	for _, full := range p.full[first:last] {
		if full {
			n++
		}
	}
	return n
}

// jointly is how well the best key explains the segments to a place, and the key so many
// semitones above it those from there.
func (p *plan) jointly(first, at, last, up int) float64 {
	best := math.Inf(-1)
	for k := range chordCount {
		to := (k%12+up)%12 + k/12*12
		best = max(best, p.sums[at][k]-p.sums[first][k]+p.sums[last][to]-p.sums[at][to])
	}
	return best
}

// alike is the correlation of two lists of one or two octaves, each octave of the first turned
// up by so many semitones.
func alike(a, b []float64, up int) float64 {
	meanA, meanB, n := 0.0, 0.0, float64(len(a))
	for i := range a {
		meanA += a[i] / n
		meanB += b[i] / n
	}
	ab, aa, bb := 0.0, 0.0, 0.0
	for i := range a {
		x, y := a[i]-meanA, b[i/12*12+(i+up)%12]-meanB
		ab, aa, bb = ab+x*y, aa+x*x, bb+y*y
	}
	return ab / max(math.Sqrt(aa*bb), 1e-300)
}

// movesAt is where the music is the most plainly moved, if it is.
func (p *plan) movesAt(first, last int) (at int, is bool) {
	most := 0.0
	for i := first + p.least; i <= last-p.least; i++ {
		if p.fullOf(first, i) < p.least || p.fullOf(i, last) < p.least {
			continue
		}
		if m := p.moved(first, i, last); m.plain() && m.gain > most {
			at, most, is = i, m.gain, true
		}
	}
	return at, is
}
