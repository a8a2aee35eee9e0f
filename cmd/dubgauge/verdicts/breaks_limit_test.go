package main

import (
	"math"

	"dubgauge/detect/continuity"
)

// limit says whether there is anything to tell a fault by, and whether one can who knows
// its place; limited is false where nothing is known of that. Of edits see change; one with
// both ends on a beat is as the arrangement has it. Starts and skips are told by the beat:
// where none is known there is nothing to tell by, nor where a skip leaves it off by less
// than is heard, and a start on a beat or a part of it, by chance, is as music starts.
func (p *planted) limit(x stereo, g continuity.Grid) (heard, told, limited bool) {
	known := g.BPM > 0 && g.Confidence >= beatKnown
	off := func(t, parts float64) float64 { return math.Abs(math.Remainder(t, 60/g.BPM/parts)) }
	switch {
	case p.edit != nil:
		heard, told = p.edit.told(x, p.edit.from, p.edit.to)
		meant := func(at int) bool { return off(timeOf(at)-g.FirstBeat, 1) <= 0.008 }
		return heard, told && !(p.edit.beat && known && meant(p.edit.from) && meant(p.edit.to)), true
	case p.from == 0:
		return false, false, false
	case p.left > 0:
		heard = known && off(p.left, 4) >= offHeard
		return heard, heard, true
	}
	start := p.from - g.FirstBeat
	told = known && (math.IsNaN(p.from) || off(start, 1) > 0.008 && off(start, 2) > 0.004 && off(start, 4) > 0.002)
	return known, told, true
}

const (
	// beatKnown is the confidence from which package continuity goes by the beat.
	beatKnown = 0.15
	// offHeard is by how many seconds a tone of an even row must be off to be heard where
	// these are up to 240 ms apart (A. Friberg and J. Sundberg, Time discrimination in a
	// monotonic, isochronous sequence, J. Acoust. Soc. Am. 98(5), 1995): sixteenths are.
	offHeard = 0.006
)

// The limit of what can be told of an edit of one channel or of both: an observer who
// knows the sample where it begins or ends, and the gain that it has, looks whether linear
// prediction over that place, made of the 46 ms before it, fails without the gain and not
// with it. Where the channels are equal an exchange does nothing, and is not counted.

// change is the gain of a signal made of the channels from the beginning of an edit on;
// at its end it is the inverse.
type change struct {
	of   func(l, r float32) float64
	gain float64
}

var (
	sideTurns  = &change{func(l, r float32) float64 { return float64(l-r) / 2 }, -1}
	rightTurns = &change{func(_, r float32) float64 { return float64(r) }, -1}
)

// gainChange is that of a channel by so many dB.
func gainChange(c int, db float64) *change {
	return &change{func(l, r float32) float64 { return float64([2]float32{l, r}[c]) }, float64(decibel(db))}
}

const (
	limitOrder, limitLength = 16, 2048
	// limitBetter is how many times less, in power, the prediction must fail with the gain.
	limitBetter = 8.0
	// limitSilent is the mean square of what there must be to be changed, -80 dBFS.
	limitSilent = 1e-8
)

// told says whether there is something to be heard of a change between two samples of x,
// which is spoilt, and whether an edge of it can be told.
func (c *change) told(x stereo, from, to int) (heard, told bool) {
	sum := 0.0
	for i := from; i < to && i < len(x[0]); i++ {
		v := c.of(x[0][i], x[1][i])
		sum += v * v
	}
	heard = sum >= limitSilent*float64(to-from)
	return heard, heard && (c.edge(x, from, c.gain) || c.edge(x, to, 1/c.gain))
}

func (c *change) edge(x stereo, at int, gain float64) bool {
	if at < limitLength || at+limitOrder > len(x[0]) {
		return false
	}
	y := make([]float64, limitLength+limitOrder)
	for i := range y {
		k := at - limitLength + i
		y[i] = c.of(x[0][k], x[1][k])
	}
	a, v := prediction(y[:limitLength])
	var plain, mended float64
	for i := limitLength; i < len(y); i++ {
		before, after := 0.0, 0.0
		for j, g := range a {
			if i-j < limitLength {
				before += g * y[i-j]
			} else {
				after += g * y[i-j]
			}
		}
		plain += (before + after) * (before + after)
		mended += (before + after/gain) * (before + after/gain)
	}
	return plain > limitBetter*math.Max(mended, limitOrder*v/limitBetter)
}

// prediction is by the autocorrelation method (Makhoul, Proc. IEEE 63(4), 1975), with the
// variance of what it leaves.
func prediction(y []float64) (a []float64, v float64) {
	x, weight := make([]float64, len(y)), 0.0
	for i := range y {
		w := 0.5 - 0.5*math.Cos(2*math.Pi*(float64(i)+0.5)/float64(len(y)))
		x[i] = w * y[i]
		weight += w * w
	}
	var r [limitOrder + 1]float64
	for lag := range r {
		for i := lag; i < len(x); i++ {
			r[lag] += x[i] * x[i-lag]
		}
	}
	r[0] += r[0]*1e-7 + 1e-12
	a, v = make([]float64, limitOrder+1), r[0]
	a[0] = 1
	for i := 1; i <= limitOrder; i++ {
		sum := 0.0
		for j := range i {
			sum += a[j] * r[i-j]
		}
		reflect, old := -sum/v, append([]float64{}, a...)
		for j := 1; j <= i; j++ {
			a[j] += reflect * old[i-j]
		}
		v *= 1 - reflect*reflect
	}
	return a, v/weight + 1e-10 // the noise of 16 bit
}
