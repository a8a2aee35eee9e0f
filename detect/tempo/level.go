package tempo

import (
	"math"
	"slices"
)

// The chance that the level is right is a logistic function of what tells a
// beat from its double and its half, fitted to 408 synthesised pieces of 17
// grooves from 60 to 200 BPM (those outside the tempi at which a groove is
// usually played counted half):
//
//	z = -5.8 + 4.3 margin + 11.2 min(inner, 0.6) + 1.8 even - 4 max(0, 0.1 - heard)
//
// margin is the search's; inner says whether anything is played between the
// beats (a beat read twice too fast has little between); even, whether the bass
// drum marks every beat or every other; heard is the margin over half or double
// the tempo without the prior's part, so that a level which only the prior
// chose is not called sure.
const (
	levelBase   = -5.8
	levelMargin = 4.3
	levelInner  = 11.2
	levelEven   = 1.8
	innerFull   = 0.6
	// These two are from another 289 pieces, of 63.7 to 198.3 BPM: those at 194 and
	// 198 BPM read at half have heard of 0.07 and less.
	levelHeard = 4
	heardClear = 0.1
	// Where all beats are alike nothing speaks for half the tempo, whether or not
	// anything lies between: so counted as alikeInner of inner, from alikeNone (90 %
	// of the pieces read twice too fast have less) to alikeFull.
	alikeInner = 0.25
	alikeNone  = 0.85
	alikeFull  = 0.95
)

// level is the chance that the beat is counted at the right level.
func (b *reading) level() float64 {
	hz := b.pulse.hz
	eighths := between(b.total, b.step, hz, 0.45, 0.55)
	sixteenths := between(b.total, b.step, 2*hz, 0.33, 0.67) // swung ones and triplets too
	even := between(b.part[low], b.step, hz/2, 0.45, 0.55)
	alike := between(b.total, b.step, hz/2, 0.45, 0.55)
	inner := eighths + 2*sixteenths
	inner += alikeInner * max(0, min(1, (alike-alikeNone)/(alikeFull-alikeNone)))
	inner = min(inner, innerFull)
	z := levelBase + levelMargin*b.found.margin + levelInner*inner + levelEven*even
	z -= levelHeard * max(0, heardClear-b.found.heard())
	return 1 / (1 + math.Exp(-z))
}

// heard is the margin by what is heard alone, over an octave that is in the
// range of tempi; negative where the other octave has the better of it. It is
// 1 where no such octave is the next likely.
//
//	1 - (1 - margin) w(bpm) / w(other)
func (f found) heard() float64 {
	other := f.bpm * f.alternative
	if f.alternative != 0.5 && f.alternative != 2 || other < slowest || other > fastest {
		return 1
	}
	return 1 - (1-f.margin)*prior(f.bpm)/prior(other)
}

// between folds x over 1/hz and compares the highest value from lo to hi of a
// period after the highest of all with that, both above the lower quartile.
func between(x []float64, step, hz, lo, hi float64) float64 {
	y := smooth(fold(x, step, hz, foldBins), foldBins/32)
	top := 0
	for i, v := range y {
		if v > y[top] {
			top = i
		}
	}
	floor := slices.Sorted(slices.Values(y))[foldBins/4]
	best := floor
	for d := int(lo * foldBins); d <= int(math.Ceil(hi*foldBins)); d++ {
		best = max(best, y[(top+d)%foldBins])
	}
	if y[top] <= floor {
		return 0
	}
	return (best - floor) / (y[top] - floor)
}

// The local coherence under which there is no pulse, and from which there is
// one: the best of 240 pieces of noise and loose pads measured 0.58, 0.46 from 15 s on;
// music with jitter of 12 ms, 0.95.
const (
	pulseNone = 0.5
	pulseSure = 0.75
)

// there is the chance that there is a pulse.
func (b *reading) there() float64 {
	c := localCoherence(b.pulse.sections)
	return max(0, min(1, (c-pulseNone)/(pulseSure-pulseNone)))
}
