package tempo

import (
	"math"
	"slices"
)

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
	// Its ratio to the steepest fall: tones that beat against each other and a tremolo, which
	// rise and fall alike, measure 0.9 to 1.02, songs with drums 1.25 and more, of 49 open
	// pieces the softest 1.07 and a fanfare of 6 s less.
	evenNone = 1.03
	evenSure = 1.06
	// What lasts no longer than this, in seconds, is struck however it falls: a click measures
	// riseSpan, tones that beat at 200 BPM 0.09.
	struck = 0.06
	// The rise less the fall of the bass: such tones measure up to 0.01, soft kicks with a bass
	// of two thirds their level 0.24, without one 1.9.
	bassNone = 0.1
	bassSure = 0.2
	// bassTop is the top of the bass, in hertz: kicks, and no more.
	bassTop = 130
	// beatSpan is riseSpan for a single beat, whose attack is not blurred by the others.
	beatSpan = 0.0125
)

// attacks is the chance that the pulse has attacks: in the fine envelope; or in the bass, where
// a soft kick has them under noise that hides its slope. Drums rise faster than they fall, as
// tones that beat against each other do not.
func (b *reading) attacks(fine, bass *envelope) float64 {
	rise, fall, lasts := b.steepest(fine)
	plain := from0to1(rise, riseNone, riseSure)
	if lasts > struck {
		plain *= from0to1(rise/max(fall, 1e-300), evenNone, evenSure)
	}
	rise, fall, _ = b.steepest(bass)
	return max(plain, from0to1(rise-fall, bassNone, bassSure))
}

// from0to1 is how far x lies on the way from none to sure.
func from0to1(x, none, sure float64) float64 { return max(0, min(1, (x-none)/(sure-none))) }

// steepest are the greatest rise and fall of an envelope over a beat, added up over the track,
// against its mean, and how long in seconds the longest of what stands out lasts:
//
//	max over i of  mean e(i, i+n) - mean e(i-n, i),  against the mean of e
func (b *reading) steepest(fine *envelope) (rise, fall, lasts float64) {
	e, mean := b.foldFine(fine)
	if mean <= 0 {
		return 0, 0, 0
	}
	var over [riseBins]float64 // the means from i to i+n
	n := max(1, int(math.Round(riseSpan*b.pulse.hz*riseBins)))
	for i := range e {
		d := 0.0
		for k := range n {
			over[i] += e[(i+k)%riseBins]
			d += e[(i+k)%riseBins] - e[(i-1-k+riseBins)%riseBins]
		}
		d /= float64(n) * mean
		rise, fall = max(rise, d), max(fall, -d)
	}
	return rise, fall, float64(longestAbove(over[:])) / riseBins / b.pulse.hz
}

// longestAbove is the longest run of a circular curve above the middle between its least and
// its greatest value.
func longestAbove(x []float64) (longest int) {
	middle := (slices.Min(x) + slices.Max(x)) / 2
	run := 0
	for i := range 2 * len(x) {
		if run++; x[i%len(x)] <= middle {
			run = 0
		}
		longest = max(longest, min(run, len(x)))
	}
	return longest
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

func meanOf[T float32 | float64](x []T) float64 {
	sum := 0.0
	for _, v := range x {
		sum += float64(v)
	}
	return sum / float64(len(x))
}
