package kick

import (
	"math"
	"math/cmplx"
	"slices"
)

const (
	// noteFrom to noteTo, Hz: B0 to E2, where basses have their lowest line. noteStep is under
	// what a window of 118 ms tells apart, 8.5 Hz, so that no note falls between two.
	noteFrom, noteTo, noteStep = 30.0, 84.0, 6.0
	// ownShare is the least share of a window's power that a note must have: beside it are its
	// harmonics and chords.
	ownShare = 0.3
	// sameHz is how far apart two measures of one note may be: half a semitone at 42 Hz.
	sameHz = 1.2
	// coarser is every how many samples of the low end are looked at: it is finer than its band needs.
	coarser = finer
)

// run is a stretch of a steady note.
type run struct {
	hz, phase, amplitude float64 // the phase in the middle, radians
	middle               float64 // samples
	share                float64 // of the power in the window, 0 to 1
}

// at is the note at a sample.
func (r *run) at(i int, rate float64) complex128 {
	return cmplx.Rect(r.amplitude, r.phase+2*math.Pi*r.hz*(float64(i)-r.middle)/rate)
}

// runAt is what a stretch of y has at a frequency, by a Hann window: no neighbour 20 Hz away counts.
func runAt(y []complex64, from, to int, rate, hz float64) run {
	n := (to - from) / coarser
	middle := float64(from) + float64(n-1)/2*coarser
	z, turn := cmplx.Rect(1, 2*math.Pi*hz*(middle-float64(from))/rate), cmplx.Rect(1, -2*math.Pi*hz*coarser/rate)
	w, wturn := cmplx.Rect(1, math.Pi/float64(n)), cmplx.Rect(1, 2*math.Pi/float64(n))
	var sum complex128
	weights, all := 0.0, 0.0
	for k := range n {
		v, hann := y[from+k*coarser], 0.5-0.5*real(w)
		sum += complex(hann, 0) * complex128(v) * z
		all += 2 * hann * power(v)
		weights += hann
		z *= turn
		w *= wturn
	}
	r := run{hz: hz, phase: cmplx.Phase(sum), amplitude: cmplx.Abs(sum) / weights, middle: middle}
	if all > 0 {
		r.share = r.amplitude * r.amplitude * weights / all
	}
	return r
}

// runOf is the note that a stretch has most of, its frequency by how its phase turns from one part of
// the stretch to another.
func runOf(y []complex64, from, to int, rate float64) run {
	best := run{}
	for hz := noteFrom; hz <= noteTo; hz += noteStep {
		if r := runAt(y, from, to, rate, hz); r.amplitude > best.amplitude {
			best = r
		}
	}
	third := (to - from) / 3
	for range 2 {
		a, b := runAt(y, from, to-third, rate, best.hz), runAt(y, from+third, to, rate, best.hz)
		best.hz += stray(a, b, rate) / 2 / math.Pi / (b.middle - a.middle) * rate
	}
	return runAt(y, from, to, rate, best.hz)
}

// stray is how far the phase of a note is from where an earlier stretch leads, radians, -pi to pi.
func stray(before, after run, rate float64) float64 {
	seconds := (after.middle - before.middle) / rate
	return math.Remainder(after.phase-before.phase-2*math.Pi*before.hz*seconds, 2*math.Pi)
}

// tuned are the frequencies of stretches: where several are of one note, the median of those, as one
// stretch alone is a hertz off.
func tuned(notes []run) []float64 {
	out := make([]float64, len(notes))
	var near []float64
	for i, n := range notes {
		near = append(near[:0], n.hz)
		for k, o := range notes {
			if k != i && o.share >= ownShare && math.Abs(o.hz-n.hz) < sameHz {
				near = append(near, o.hz)
			}
		}
		slices.Sort(near)
		out[i] = near[len(near)/2]
	}
	return out
}

// dB of a ratio of amplitudes.
func dB(ratio float64) float64 { return 20 * math.Log10(ratio) }
