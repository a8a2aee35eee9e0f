package sound

import "math"

// Rate is the sample rate of everything that is rendered, in Hz.
const Rate = 44100

// Note is the frequency in Hz of a MIDI note number, A4 (69) being 440 Hz.
func Note(n float64) float64 { return 440 * math.Pow(2, (n-69)/12) }

// Decibels is the factor of amplitude that dB stand for.
func Decibels(dB float64) float64 { return math.Pow(10, dB/20) }

// Level scales x so that its mean power is dB.
func Level(x []float64, dB float64) {
	sum := 0.0
	for _, v := range x {
		sum += v * v
	}
	if sum == 0 {
		return
	}
	Scale(x, math.Pow(10, dB/20)/math.Sqrt(sum/float64(len(x))))
}

// Scale multiplies every sample.
func Scale(x []float64, by float64) {
	for i := range x {
		x[i] *= by
	}
}
