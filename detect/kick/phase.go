package kick

import (
	"math"
	"slices"
)

// Phase is what becomes of the level where a sub runs on through the kicks: two sounds that do
// not know of each other add their powers; by their phases the sum is up to 3 dB over that where
// both are as strong, and down to nothing.
//
//	sum = power of both at the attack / (power of the kick + power of the sub), in dB
type Phase struct {
	Held   int     // kicks through which a note of the sub runs on
	Median float64 // of the sum at those, dB; NaN where they are too few
	Worst  float64 // the sum that one kick in ten is under, dB
}

func noPhase() Phase { return Phase{0, math.NaN(), math.NaN()} }

const (
	// The sub is known from before the kick, whose band smears by 20 ms, and from behind it,
	// in parts of the least time from kick to kick.
	beforeFrom, beforeTo = 0.140, 0.040 // seconds before the attack
	afterFrom, afterTo   = 0.55, 0.75
	// attackSeconds is the part of the kick in which the sum is taken.
	attackSeconds = 0.050
	// strayPhase is how far the phase behind the kick may be from where the note before it leads,
	// in radians: another note is anywhere. strayHz is the same of its frequency.
	strayPhase = 1.0
	strayHz    = 1.0
	// evenDB is by how much the note may have become weaker or stronger.
	evenDB = 3.0
	// fewestHeld kicks make a figure.
	fewestHeld = 8
	// openDip in dB: a bass that goes down by more at the kicks leaves them alone.
	openDip = 3.0
)

// run is a stretch of a steady note: its frequency, the phase in its middle, and its amplitude.
type run struct {
	hz, phase, amplitude float64
	middle               float64 // samples
}

// runOf fits a note to y from a sample to another.
func runOf(y []complex64, from, to int, rate float64) (r run, ok bool) {
	if from < 0 || to > len(y) || to-from < 8 {
		return r, false
	}
	part := y[from:to]
	r.hz, ok = steady(part, rate)
	r.middle = float64(from) + float64(len(part)-1)/2
	phase := unwrapped(part)
	for _, p := range phase {
		r.phase += p / float64(len(phase))
	}
	r.amplitude = math.Sqrt(2 * meanPower(part))
	return r, ok
}

// through is the note that runs on from before a kick to behind it, its frequency from both ends.
func through(before, after run, rate float64) (run, bool) {
	if math.Abs(before.hz-after.hz) > strayHz || math.Abs(20*math.Log10(before.amplitude/after.amplitude)) > evenDB {
		return run{}, false
	}
	seconds := (after.middle - before.middle) / rate
	led := before.phase + 2*math.Pi*(before.hz+after.hz)/2*seconds
	stray := math.Remainder(after.phase-led, 2*math.Pi)
	if math.Abs(stray) > strayPhase {
		return run{}, false
	}
	note := before
	note.hz = (before.hz+after.hz)/2 + stray/2/math.Pi/seconds
	note.amplitude = (before.amplitude + after.amplitude) / 2
	return note, true
}

// at is the note at a sample.
func (r *run) at(i int, rate float64) complex64 {
	sin, cos := math.Sincos(r.phase + 2*math.Pi*r.hz*(float64(i)-r.middle)/rate)
	return complex(float32(r.amplitude*cos), float32(r.amplitude*sin))
}

// phase compares, at each kick that a note about hz runs through, the power of both with that of
// the one and the other.
func (b *bottom) phase(sub []complex64) Phase {
	var sums []float64
	gap := float64(b.length) * 10 / 9 // the least from kick to kick, as separate has it
	for _, at := range b.hits {
		before, ok := runOf(sub, at-b.samples(beforeFrom), at-b.samples(beforeTo), b.rate)
		after, ok2 := runOf(sub, at+int(afterFrom*gap), at+int(afterTo*gap), b.rate)
		if !ok || !ok2 {
			continue
		}
		if note, ok := through(before, after, b.rate); ok {
			sums = append(sums, b.sum(at, &note))
		}
	}
	p := noPhase()
	if p.Held = len(sums); p.Held < fewestHeld {
		return p
	}
	slices.Sort(sums)
	p.Median, p.Worst = sums[len(sums)/2], sums[len(sums)/10]
	return p
}

// sum is the power at an attack beside that of the kick and of the note, dB.
func (b *bottom) sum(at int, note *run) float64 {
	var both, apart float64
	for i := at; i < at+b.samples(attackSeconds); i++ {
		n := note.at(i, b.rate)
		both += power(b.y[i])
		apart += power(b.y[i]-n) + power(n)
	}
	return 10 * math.Log10(both/apart)
}
