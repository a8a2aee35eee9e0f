package key

import (
	"math"
	"math/cmplx"
)

// tuning finds by how many cents the notes of the track lie above equal
// temperament at A4 = 440 Hz, -50 to 50, and how sharply they gather there: 1
// when all have the same deviation, 0 when they have none in common, as with noise.
//
// The notes are those of transcribe on the grid of 10 cents, so that the
// natural seventh and third among the overtones do not pull. With d the
// deviation of a bin from the semitone below it in cents and a its activation:
//
//	tuning = 100/(2 pi) arg S,  focus = |S| / sum a,  S = sum a exp(2 pi i d/100)
func tuning(total *segment) (cents, focus float64) {
	var x, a, y [binCount]float64
	for i, v := range total.pitch {
		x[i] = float64(v)
	}
	transcribe(a[:], x[:], y[:], noteSpectrum(binsPerSemitone), tuningRounds)
	var s complex128
	sum := 0.0
	for i, v := range a {
		// Bin 0 lies half a semitone below a note.
		turn := float64(i)/binsPerSemitone - 0.5
		s += complex(v, 0) * cmplx.Exp(complex(0, 2*math.Pi*turn))
		sum += v
	}
	if sum == 0 {
		return 0, 0
	}
	return 100 / (2 * math.Pi) * cmplx.Phase(s), cmplx.Abs(s) / sum
}
