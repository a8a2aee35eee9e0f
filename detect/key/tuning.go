package key

import (
	"math"
	"math/cmplx"
)

const (
	// preciseNote is the MIDI number of C3, 131 Hz. A peak is placed to a fixed
	// part of a hertz, so that its cents are the less precise the lower it is:
	// below this note the weight falls as the square of the frequency.
	preciseNote = 48
	// tuningTilt is by how much a note above it counts less for each octave,
	// as a power of two: up there are mostly overtones.
	tuningTilt = 1.0
)

// tuning finds by how many cents the notes of the track lie above equal
// temperament at A4 = 440 Hz, -50 to 50, and how sharply they gather there: 1
// when all have the same deviation, 0 when they have none in common, as with
// noise.
//
// The notes are those of transcribe on the grid of pitch bins, so that the
// natural seventh and third among the overtones do not pull. With d the
// deviation of a bin from the semitone below it in cents and a its activation:
//
//	tuning = 100/(2 pi) arg S,  focus = |S| / sum a,  S = sum a exp(2 pi i d/100)
func tuning(total *moment) (cents, focus float64) {
	var x, a, y [binCount]float64
	for i, v := range total.pitch {
		x[i] = float64(v) * precision(noteOfBin(i))
	}
	transcribe(a[:], x[:], y[:], fineSpectrum(), tuningRounds)
	var s complex128
	sum := 0.0
	for i, v := range a {
		s += cmplx.Rect(v, 2*math.Pi*noteOfBin(i))
		sum += v
	}
	if sum == 0 {
		return 0, 0
	}
	return 100 / (2 * math.Pi) * cmplx.Phase(s), cmplx.Abs(s) / sum
}

// noteOfBin is the pitch of a bin as a MIDI number with decimals.
func noteOfBin(bin int) float64 {
	return lowestNote - 0.5 + float64(bin)/binsPerSemitone
}

// precision is the weight of a note in tuning.
func precision(note float64) float64 {
	if note < preciseNote {
		return math.Exp2((note - preciseNote) / 12 * 2)
	}
	return math.Exp2(-tuningTilt * (note - preciseNote) / 12)
}
