package key

import "math"

const (
	// partials is how many partials, the fundamental included, a note is
	// expected to have at most.
	partials = 16
	// partialSlope is the power of its number by which a partial is expected
	// to be weaker than the fundamental. A saw's partials fall by 1, a
	// triangle's by 2; whitening flattens them, emphasis tilts them back. Between
	// 1 and 1.6 the answers hardly change.
	partialSlope = 1.3
	// transcribeRounds is how often the activations are improved; 20 change
	// nothing over 10.
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

// semitoneSpectrum lists the partials of a note on the grid of semitones. One
// that lies between two semitones is weakened as in segment.notes.
//
//	weight = h^-partialSlope cos^2(pi d)
//
// for the partial of number h, d semitones off the grid.
func semitoneSpectrum() (s []partial) {
	for h := 1; h <= partials; h++ {
		at := 12 * math.Log2(float64(h))
		c := math.Cos(math.Pi * (at - math.Round(at)))
		s = append(s, partial{int(math.Round(at)), math.Pow(float64(h), -partialSlope) * c * c})
	}
	return s
}

// fineSpectrum lists them on the grid of pitch bins, each shared between the
// two next to it.
func fineSpectrum() (s []partial) {
	for h := 1; h <= partials; h++ {
		low, f := math.Modf(12 * binsPerSemitone * math.Log2(float64(h)))
		w := math.Pow(float64(h), -partialSlope)
		s = append(s, partial{int(low), w * (1 - f)})
		if f > 0 {
			s = append(s, partial{int(low) + 1, w * f})
		}
	}
	return s
}

// transcribe explains the spectrum x as a sum of notes with their partials: a
// holds how strongly each sounds. The saw of one bass note would else count
// for its fifth and its major third as well.
//
// It is the approximate transcription of M. Mauch & S. Dixon, "Approximate
// note transcription for the improved identification of difficult chords",
// ISMIR 2010: the a >= 0 that minimises |x - D a|^2, D holding a note's
// spectrum in each column; here by the multiplicative updates of D. D. Lee &
// H. S. Seung, "Algorithms for non-negative matrix factorization", NIPS 2000:
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
	have, got := 0.0, 1e-12 // keeps 0/0 from happening; x is of the order of 1
	for _, p := range note {
		if p.up < len(x) {
			have += p.weight * x[p.up]
			got += p.weight * y[p.up]
		}
	}
	return have / got
}
