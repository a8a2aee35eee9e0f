package tempo

import (
	"math"
	"slices"
)

// The attack of a beat is timed on a finer envelope than the onset curve, whose
// spectra of 23 ms rise the earlier the louder a sound is.
const (
	// fineSeconds is the step of that envelope: 32 samples at 22.05 kHz.
	fineSeconds = 32 / 22050.0
	// fineLength is how much of a track it covers, in seconds: some hundred
	// beats are enough for the phase.
	fineLength = 600
	// attackReach is how far from the onset curve's peak, less its lead, the attack is looked for.
	attackReach = 0.012
	// attackStep is the resolution at which it is looked for, in seconds.
	attackStep = 0.0005
	// attackSpan is the span of the difference that finds it, in seconds: longer than a
	// coder's pre-echo, shorter than a sixteenth.
	attackSpan = 0.006
	// attackSteps is the same in steps; attackWeight is the sum of 1/s over them, by which
	// a rise is a difference of the envelope.
	attackSteps  = int(attackSpan / attackStep)
	attackWeight = 3.1032
	// firstShare is the share of the greatest rise of the four places of a bar that the first
	// attack has at least: a kick under a clap that is late has 0.11 and more. From 0.085 to 0.11 all is alike.
	firstShare = 0.1
	// attackLeast is the rise, as a share of the mean, from which there is an attack to be timed:
	// a kick under a hiss of hats has 0.02 to 0.05, the softest of 27 modules 0.11.
	attackLeast = 0.08
	// onsetLead is by how much, in seconds, the onset curve's peak comes before
	// the attack: 1 to 8 ms on synthesised drums, soft to loud.
	onsetLead = 0.0045
	// attackDelay is by how much the greatest rise of the envelope comes after
	// the first sample of a sound, in seconds, measured on synthesised clicks, kicks and claps.
	attackDelay = 0.0005
)

// envelope is the mean magnitude of the differences between neighbouring
// samples, which brings out attacks.
type envelope struct {
	step  float64 // seconds a value
	n     int     // samples a value
	limit int
	have  int
	last  float32
	sum   float32
	value []float32
}

func (e *envelope) init(rate float64) {
	e.n = max(1, int(math.Round(rate*fineSeconds)))
	e.step = float64(e.n) / rate
	e.limit = int(fineLength / e.step)
}

func (e *envelope) write(x []float32) {
	if len(e.value) >= e.limit {
		return
	}
	for _, v := range x {
		d := v - e.last
		e.last = v
		e.sum += math.Float32frombits(math.Float32bits(d) &^ (1 << 31))
		if e.have++; e.have == e.n {
			e.value = append(e.value, e.sum)
			e.sum, e.have = 0, 0
		}
	}
}

// append adds a value, up to the limit.
func (e *envelope) append(v float32) {
	if len(e.value) < e.limit {
		e.value = append(e.value, v)
	}
}

// at is the envelope at a time in seconds, 0 outside.
func (e *envelope) at(seconds float64) float64 {
	place := seconds/e.step - 0.5
	i := int(math.Floor(place))
	if i < 0 || i+1 >= len(e.value) {
		return 0
	}
	f := float32(place - float64(i))
	return float64(e.value[i]*(1-f) + e.value[i+1]*f)
}

// attack is by how much the attacks of the beats lie after the given times, which are those of
// the onset curve's peaks: the first of the attacks at the four places of a bar, so that claps
// which are late on two and four don't move the kick of one and three. onsetLead where none of
// them has any.
func (e *envelope) attack(beats []float64) float64 {
	var lead, rises [bar]float64
	for k := range bar {
		var own []float64
		for i := k; i < len(beats); i += bar {
			own = append(own, beats[i])
		}
		lead[k], rises[k] = e.attackOf(own)
	}
	least, first := firstShare*slices.Max(rises[:]), math.Inf(1)
	for k, r := range rises {
		if r >= least {
			first = min(first, lead[k])
		}
	}
	return first
}

// attackOf is where the envelope, added up over beats, rises most, and by how much; that is 0
// where it is too little for an attack.
//
//	max over d of  sum over beats, over 0 < s <= 6 ms of (e(t + d + s) - e(t + d - s)) / s
func (e *envelope) attackOf(beats []float64) (lead, most float64) {
	half := int(attackReach/attackStep) + 2*attackSteps
	reach := float64(half) * attackStep
	sum := e.around(beats, onsetLead-reach, onsetLead+reach)
	best, mean := half, 0.0
	for i := 2 * attackSteps; i < len(sum)-2*attackSteps; i++ {
		if rise(sum, i) > rise(sum, best) {
			best = i
		}
	}
	for _, v := range sum {
		mean += v / float64(len(sum))
	}
	most = rise(sum, best)
	if most <= attackLeast*attackWeight*mean {
		return onsetLead, 0
	}
	place := float64(best-half) + max(-1, min(1, vertex(rise(sum, best-1), most, rise(sum, best+1))))
	return onsetLead + place*attackStep - attackDelay, most
}

// around is the envelope from one time to another, in seconds, about each of the beats,
// added up, in steps of attackStep.
func (e *envelope) around(beats []float64, from, to float64) []float64 {
	sum := make([]float64, int(math.Round((to-from)/attackStep))+1)
	for _, t := range beats {
		for i := range sum {
			sum[i] += e.at(t + from + float64(i)*attackStep)
		}
	}
	return sum
}

// rise is the difference of sum after and before i, over attackSteps, the nearest
// weighing most:
//
//	sum over 0 < s <= 12 of  (sum[i+s] - sum[i-s]) / s
func rise(sum []float64, i int) (r float64) {
	for s := 1; s <= attackSteps; s++ {
		if i-s >= 0 && i+s < len(sum) {
			r += (sum[i+s] - sum[i-s]) / float64(s)
		}
	}
	return r
}
