package kick

import (
	"math"
	"slices"
)

// Phase is what becomes of the level where a sub runs on through the kicks: two sounds that do
// not know of each other add their powers; by their phases the sum is up to 3 dB over that where
// both are as strong, and down to nothing.
//
//	sum = power of both at the attack / (power of the kick + power of the sub), in dB
type Phase struct {
	Held   int     // kicks through which a note of the sub runs on
	Median float64 // of the sum at those, dB; NaN where they are too few
	Worst  float64 // the sum that one kick in ten is under, dB
}

func noPhase() Phase { return Phase{0, math.NaN(), math.NaN()} }

const (
	// attackSeconds is the part of the kick in which the sum is taken.
	attackSeconds = 0.050
	// openDip in dB: a bass that goes down by more at the kicks leaves them alone.
	openDip = 3.0
)

// phase compares, at each kick that a note runs on through, the power of both with that of the one
// and the other.
func (b *bottom) phase(notes []heldNote) Phase {
	sums := make([]float64, len(notes))
	for i := range notes {
		sums[i] = b.sum(&notes[i])
	}
	slices.Sort(sums)
	return Phase{len(sums), sums[len(sums)/2], sums[len(sums)/10]}
}

// sum is the power at an attack beside that of the kick and of the note, dB.
func (b *bottom) sum(note *heldNote) float64 {
	var both, apart float64
	for i := note.at; i < note.at+b.samples(attackSeconds); i++ {
		n := complex64(note.run.at(i, b.rate))
		both += power(b.y[i])
		apart += power(b.y[i]-n) + power(n)
	}
	return 10 * math.Log10(both/apart)
}
