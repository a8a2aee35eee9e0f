package setlist

import "math"

// folded is the ratio of two tempi, times the power of two that brings it nearest to 1: 87 and
// 174 BPM are one tempo. It lies from sqrt(1/2) to sqrt(2).
func folded(from, to float64) float64 {
	octaves := math.Log2(to / from)
	return math.Exp2(octaves - math.RoundToEven(octaves))
}

// Pitch is what happens to the pitch, in semitones, of a track that is ratio times as fast as
// the one whose tempo it is played at, without key lock:
//
//	12 log2(1/ratio)
func Pitch(ratio float64) float64 { return -12 * math.Log2(ratio) }

// percent is a ratio as a change.
func percent(ratio float64) float64 { return 100 * (ratio - 1) }
