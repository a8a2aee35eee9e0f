package tempo

import "math"

// A pulse that is heard has attacks. Sines that beat against each other, chords that
// swell and the like repeat as exactly as a machine plays, but rise slowly.
const (
	// riseBins is the resolution of a beat in which rises are looked for.
	riseBins = 192
	// riseSpan is over how long a rise is taken on either side, in seconds: two cycles of the
	// magnitude of 40 Hz, so that low tones themselves are no rise.
	riseSpan = 0.025
	// The rise, against the mean of a beat, under which there is no pulse and from which
	// there is one. Steady chords of four sines above 85 Hz measure up to 0.04, soft music
	// without drums 0.09 to 0.16, songs with drums 0.9 to 8.
	riseNone = 0.05
	riseSure = 0.09
	// beatSpan is riseSpan for a single beat, whose attack is not blurred by the others.
	beatSpan = 0.0125
)

// attacks is the chance that the pulse has attacks, from the fine envelope over a beat
// added up over the track:
//
//	max over i of  mean e(i, i+n) - mean e(i-n, i),  against the mean of e
func (b *reading) attacks(fine *envelope) float64 {
	e, mean := b.foldFine(fine)
	if mean <= 0 {
		return 0
	}
	n := max(1, int(math.Round(riseSpan*b.pulse.hz*riseBins)))
	most := 0.0
	for i := range e {
		rise := 0.0
		for k := range n {
			rise += e[(i+k)%riseBins] - e[(i-1-k+riseBins)%riseBins]
		}
		most = max(most, rise/float64(n))
	}
	return max(0, min(1, (most/mean-riseNone)/(riseSure-riseNone)))
}

// foldFine adds the fine envelope up over the beats that it covers, and gives its mean.
func (b *reading) foldFine(fine *envelope) (sum [riseBins]float64, mean float64) {
	period := 1 / b.pulse.hz
	for t := 0.0; t+period < min(b.duration(), fineLength); t += period {
		for i := range sum {
			v := fine.at(b.seconds(t + period*float64(i)/riseBins))
			sum[i] += v
			mean += v / riseBins
		}
	}
	return sum, mean
}

// rise is by how much the envelope is greater in beatSpan after t, in seconds, than before
// it, against its mean over half seconds to both sides; 0 outside.
func (e *envelope) rise(t, half float64) float64 {
	mid, n, wide := int(t/e.step), int(beatSpan/e.step), int(half/e.step)
	if mid-wide < 0 || mid+wide >= len(e.value) {
		return 0
	}
	mean := meanOf(e.value[mid-wide : mid+wide])
	if mean <= 0 {
		return 0
	}
	return (meanOf(e.value[mid:mid+n]) - meanOf(e.value[mid-n:mid])) / mean
}

func meanOf(x []float32) float64 {
	sum := 0.0
	for _, v := range x {
		sum += float64(v)
	}
	return sum / float64(len(x))
}
