package dsp

// Tallest is the highest sample that is taken as it is: +80 dBFS. Float files can hold
// anything; what is higher, or no number, is damage, and its square must not make
// figures of the whole track infinite.
const Tallest = 1e4

// Cell is what a measurement keeps of a few samples.
type Cell interface {
	// Energy is the sum of the squares of the samples, or of their differences.
	Energy() float32
}

// Wild tells that cells have samples that must be cut down.
func Wild[C Cell](cells []C) bool {
	for i := range cells {
		// A sum that is no number fails the comparison.
		if !(cells[i].Energy() < Tallest*Tallest) {
			return true
		}
	}
	return false
}

// Tame cuts the samples x down to what can be measured if their cells show that it must,
// and tells whether it did. What is no number becomes 0.
func Tame[C Cell](cells []C, x []float32) bool {
	if !Wild(cells) {
		return false
	}
	for i, v := range x {
		if v != v {
			v = 0
		}
		x[i] = max(-Tallest, min(Tallest, v))
	}
	return true
}
