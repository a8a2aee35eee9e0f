package tempo

import "math"

// PatternSteps is the number of sixteenths in a bar of four beats.
const PatternSteps = 16

const (
	// patternLow is the octave, from this tempo in BPM to twice it, that tempi are
	// brought into first, so that a track read at half its tempo has the same
	// pattern.
	patternLow = 90
	// patternSlack is how far to both sides of a lag the peak is looked for, in
	// values of the onset curve (6 ms each): swing and played drums.
	patternSlack = 2
)

// pattern tells how the low end moves, whatever its level, its colour and its phase:
// the autocorrelation of its onsets (below 180 Hz) at one to sixteen sixteenths,
// against that at nought.
//
//	r(k) = max over |d| <= 2 of c(k T/4 + d) / c(0),  c(l) = mean of x(t) x(t+l)
//
// A kick on every beat has its peaks at 4, 8, 12 and 16, a broken beat at 6, 10
// and 16.
func (a *analysis) pattern(bpm float64) []float64 {
	bpm = patternLow * math.Exp2(wrap(math.Log2(bpm/patternLow)))
	x := a.part[low]
	lag := 60 / bpm / 4 / a.step
	zero := correlation(x, 0)
	if zero <= 0 || int(PatternSteps*lag)+patternSlack >= len(x) {
		return nil
	}
	r := make([]float64, PatternSteps)
	for k := range r {
		mid := int(math.Round(float64(k+1) * lag))
		for l := mid - patternSlack; l <= mid+patternSlack; l++ {
			r[k] = max(r[k], correlation(x, l)/zero)
		}
	}
	return r
}

// wrap takes x to between 0 and 1.
func wrap(x float64) float64 { return x - math.Floor(x) }

// correlation is the mean of x(t) x(t+lag).
func correlation(x []float64, lag int) float64 {
	y := x[lag:]
	s := 0.0
	for i, v := range y {
		s += v * x[i]
	}
	return s / float64(len(y))
}
