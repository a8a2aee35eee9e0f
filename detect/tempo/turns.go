package tempo

import (
	"math"
	"slices"
)

// Where a low drum and a bright one take turns every half beat (polka, ska, the train beat of
// country, read at half the tempo that some would count), the beat is on the low one. Common
// practice, no source.
const (
	// takingTurns is what that counts. Four of 425 pieces have such drums, with the beat on the low
	// one; it is misplaced in two without 1.5 and more.
	takingTurns = 2.5
	// lowShareOfTurns is the share of the loudest low stroke between that the softest on the beats
	// has at the least, and lowLead how much more they have in the mean: where drums play all eighths
	// alike 1.08 and 1.18 were measured, where they take turns 1.5 and more.
	lowShareOfTurns = 0.74
	lowLead         = 1.3
	// kickShare is the share of what kicks between that they kick: a bass between snares, which are
	// on every beat, is low and kicks less, 0.4 of a kick on one and three.
	kickShare = 0.6
)

// turns is what speaks for the beat to begin at a bin and not at another, half a beat away, where
// drums take turns.
func (f *bars) turns(bin, between int) float64 {
	switch {
	case f.takeTurns(bin, between):
		return takingTurns
	case f.takeTurns(between, bin):
		return -takingTurns
	}
	return 0
}

// takeTurns tells whether low drums are on all beats from a bin on and bright ones, middle and high
// at once, on all places between them, none of which is as soft as the loudest on a beat. A snare on
// two and four is not, nor is an open hat without a middle or a bass between kicks that ring.
func (f *bars) takeTurns(bin, between int) bool {
	on, off := f.strokes(low, bin), f.strokes(low, between)
	if slices.Min(on[:]) <= lowShareOfTurns*slices.Max(off[:]) || meanOf(on[:]) < lowLead*meanOf(off[:]) {
		return false
	}
	if on, off = f.strokes(kicks, bin), f.strokes(kicks, between); meanOf(on[:]) < kickShare*meanOf(off[:]) {
		return false
	}
	return slices.Min(f.bright(between)) > slices.Max(f.bright(bin))
}

// strokes are the strengths of a layer on the beats from a bin on.
func (f *bars) strokes(layer, bin int) (out [bar]float64) {
	s, _ := f.steps(layer, bin)
	for k := range out {
		out[k] = s[k*beatSteps]
	}
	return out
}

// bright are the geometric means of the middle and high strokes on the beats from a bin on.
func (f *bars) bright(bin int) []float64 {
	m, h := f.strokes(mid, bin), f.strokes(high, bin)
	for k := range m {
		m[k] = math.Sqrt(m[k] * h[k])
	}
	return m[:]
}
