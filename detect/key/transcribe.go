package key

import "math"

const (
	// partials is the number of overtones, with the fundamental, that a note
	// is expected to have at most.
	partials = 16
	// partialDecay is the amplitude of each partial as a share of the one
	// below it. Mauch & Dixon use 0.5 to 0.9 and find little between them.
	partialDecay = 0.8
	// transcribeRounds is how often the activations are improved.
	transcribeRounds = 10
	// tuningRounds is the same on the finer grid, where neighbouring bins
	// compete.
	tuningRounds = 20
)

// partial is one member of a note's spectrum.
type partial struct {
	up     int // bins above the fundamental
	weight float64
}

// noteSpectrum lists the partials of a note on a grid of the given bins a
// semitone. A partial that lies between bins is weakened as in segment.notes.
func noteSpectrum(bins float64) (s []partial) {
	for h := 1; h <= partials; h++ {
		at := 12 * bins * math.Log2(float64(h))
		c := math.Cos(math.Pi * (at - math.Round(at)))
		s = append(s, partial{int(math.Round(at)), math.Pow(partialDecay, float64(h-1)) * c * c})
	}
	return s
}

// transcribe explains the spectrum x as a sum of notes with their partials: a
// holds how strongly each sounds. The saw of one bass note would else count
// for its fifth and its major third as well.
//
// It is the approximate transcription of M. Mauch & S. Dixon, "Approximate
// note transcription for the improved identification of difficult chords",
// ISMIR 2010: the a >= 0 that minimises |x - D a|^2, D holding a note's spectrum
// in each column; here by the multiplicative updates of Lee & Seung (2001):
//
//	a <- a . (D'x) / (D'D a)
//
// y is scratch space. x, a and y have one length.
func transcribe(a, x, y []float64, note []partial, rounds int) {
	copy(a, x)
	for range rounds {
		clear(y)
		for i, v := range a {
			if v <= 0 {
				continue
			}
			for _, p := range note {
				if j := i + p.up; j < len(y) {
					y[j] += v * p.weight
				}
			}
		}
		for i, v := range a {
			if v > 0 {
				a[i] = v * improvement(x[i:], y[i:], note)
			}
		}
	}
}

// improvement is the factor of one update: x and y begin at the note's
// fundamental.
func improvement(x, y []float64, note []partial) float64 {
	have, got := 0.0, 1e-12
	for _, p := range note {
		if p.up < len(x) {
			have += p.weight * x[p.up]
			got += p.weight * y[p.up]
		}
	}
	return have / got
}
