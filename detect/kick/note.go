package kick

import (
	"math"
	"slices"
	"strconv"

	"dubgauge/detect/key"
)

// midi is the number of the nearest note, A4 (69) being 440 Hz, and how many cents above
// it a frequency lies.
func midi(hz float64) (note int, cents float64) {
	n := 69 + 12*math.Log2(hz/440)
	return int(math.Round(n)), 100 * (n - math.Round(n))
}

// Note names the note of a frequency in scientific pitch notation (C4 is middle C), and
// how many cents above it lies; empty for none.
func Note(hz float64) (name string, cents float64) {
	if !(hz > 0) || math.IsInf(hz, 0) {
		return "", math.NaN()
	}
	n, cents := midi(hz)
	return key.TonicName(n%12) + strconv.Itoa(n/12-1), cents
}

// steps of the scales, in semitones from the tonic: major, and natural minor.
var (
	majorSteps = []int{0, 2, 4, 5, 7, 9, 11}
	minorSteps = []int{0, 2, 3, 5, 7, 8, 10}
)

// InKey tells whether the note of a frequency is of the scale on a tonic: the major one,
// or the natural minor one.
func InKey(hz float64, tonic string, minor bool) bool {
	for t := range 12 {
		if key.TonicName(t) == tonic {
			steps := majorSteps
			if minor {
				steps = minorSteps
			}
			n, _ := midi(hz)
			return slices.Contains(steps, ((n-t)%12+12)%12)
		}
	}
	return false
}
