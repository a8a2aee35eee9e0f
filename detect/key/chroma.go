package key

import "math"

const (
	// emphasisTilt is by how much a pitch counts less for each octave that it
	// lies above tiltNote, as a power of two. The bass says which chord is
	// meant; what lies above it is to a growing part overtones, which
	// whitening has made as strong as their fundamentals.
	emphasisTilt = 0.6
	// tiltNote is the MIDI number of C2, 65 Hz.
	tiltNote = 36
	// kickNote is the MIDI number of G1, 49 Hz. What has a pitch below it is
	// mostly the body of a kick drum, which sounds all through the track and
	// need not be in its key; it counts kickWeight times. A bass note down
	// there is known by its overtones; a pure one still counts when little else
	// sounds.
	kickNote   = 31
	kickWeight = 0.1
	// leastWeight is the weight a frame below which a moment has no say: it has hardly a
	// tonal peak.
	leastWeight = 0.04
)

// emphasis is the weight of a pitch (MIDI number) in the chroma.
func emphasis(note float64) float64 {
	if note < kickNote {
		return kickWeight
	}
	return math.Exp2(-emphasisTilt * max(0, note-tiltNote) / 12)
}

// emphases holds the emphasis of each note from lowestNote.
var emphases = func() (e [noteCount]float64) {
	for i := range e {
		e[i] = emphasis(float64(i + lowestNote))
	}
	return e
}()

// bassNote is the MIDI number of Ab2, 104 Hz, below which a note is one of the bass:
// a bass guitar or a sub seldom leaves that range, and their overtones at the major
// third begin above it.
const bassNote = 44

// chroma says how strongly each pitch class sounds, C first.
type chroma [12]float64

// sounds are the notes of a stretch of the track, and those of the bass among them. The
// pitch classes of all sum to weight.
type sounds struct {
	all, bass chroma
	weight    float64
}

// part is what a stretch says: its notes and its chords.
type part struct {
	sounds
	chords harmony
}

// sounds gives the notes of a moment, cents being the tuning and note a semitoneSpectrum.
func (s *moment) sounds(cents float64, note []partial) (p sounds) {
	x := s.notes(cents)
	for i := range x {
		x[i] *= emphases[i]
	}
	var a, y [noteCount]float64
	transcribe(a[:], x[:], y[:], note, transcribeRounds)
	for i, v := range a {
		p.all[(i+lowestNote)%12] += v
		if i+lowestNote < bassNote {
			p.bass[(i+lowestNote)%12] += v
		}
		p.weight += v
	}
	return p
}

// scale multiplies them by f.
func (p *sounds) scale(f float64) {
	for i := range p.all {
		p.all[i] *= f
		p.bass[i] *= f
	}
	p.weight *= f
}

// add adds others to p.
func (p *sounds) add(o *sounds) {
	for i := range p.all {
		p.all[i] += o.all[i]
		p.bass[i] += o.bass[i]
	}
	p.weight += o.weight
}

// add adds another part to p.
func (p *part) add(o *part) {
	p.sounds.add(&o.sounds)
	p.chords.add(&o.chords)
}

// sum is the weight of all pitch classes together.
func (c *chroma) sum() (s float64) {
	for _, v := range c {
		s += v
	}
	return s
}

// classes is the number of pitch classes that sound, those of equal strength
// counting fully: the exponential of the entropy.
//
//	exp(-sum p log p),  p = c / sum c
//
// A kick drum has 1 to 2, a major scale with overtones 6 to 10, a cluster 12.
func (c *chroma) classes() float64 {
	h, sum := 0.0, c.sum()
	for _, v := range c {
		if v > 0 {
			h -= v / sum * math.Log(v/sum)
		}
	}
	return math.Exp(h)
}
