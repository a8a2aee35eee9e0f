package key

import "math"

const (
	// chromaTilt is by how much a note counts less for each octave that it
	// lies above bassNote, as a power of two. The bass says which chord is
	// meant; its overtones and the melody do so less.
	chromaTilt = 0.3
	// bassNote is the MIDI number of E3, 165 Hz: notes below it are the bass
	// and count bassWeight times.
	bassNote   = 52
	bassWeight = 2
	// leastWeight is the summed weight below which a segment has no say: it has hardly
	// a tonal peak.
	leastWeight = 1
)

// chroma says how strongly each pitch class sounds, C first.
type chroma [12]float64

// chroma gives the pitch classes of a segment.
func (s *segment) chroma(cents float64, note []partial) (c chroma) {
	x := s.notes(cents)
	var a, y [noteCount]float64
	transcribe(a[:], x[:], y[:], note, transcribeRounds)
	for i, v := range a {
		above := float64(i + lowestNote - bassNote)
		w := float64(bassWeight)
		if above >= 0 {
			w = math.Exp2(-chromaTilt * above / 12)
		}
		c[(i+lowestNote)%12] += w * v
	}
	return c
}

// sum is the weight of all pitch classes together.
func (c *chroma) sum() (s float64) {
	for _, v := range c {
		s += v
	}
	return s
}

// addScaled adds f times o to c.
func (c *chroma) addScaled(f float64, o *chroma) {
	for i, v := range o {
		c[i] += f * v
	}
}
