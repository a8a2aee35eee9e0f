package tempo

import (
	"math"
	"slices"

	"dubgauge/detect/dsp"
)

const (
	// bar is the number of beats to a bar.
	bar = 4
	// changeWeight and lowWeight balance the two signs of a downbeat: that the
	// arrangement changes there, and that the bass drum is strongest there
	// (flat in four-on-the-floor). Common practice, no source.
	changeWeight = 1
	lowWeight    = 0.4
	// plain is by how much of all evidence a downbeat must lead the next best
	// beat of the bar to be given.
	plain = 0.2
	// span is the number of beats on either side that are compared, and
	// changeLeast how much greater than the median the difference must be.
	span        = 2 * bar
	changeLeast = 2
	// leastChanges is the least number of changes that count as evidence.
	leastChanges = 3
)

// downbeat is the first beat, from the first that sounds, that begins a bar;
// -1 where that is not plain.
func (g *grid) downbeat(l *levels, start float64) int {
	changes, n := g.changes(l, start)
	lows := [bar]float64{}
	for i, v := range g.lows {
		lows[i%bar] += v
	}
	var score [bar]float64
	cs, ls := 1e-300, 1e-300
	for p := range score {
		cs += changes[p]
		ls += lows[p]
	}
	for p := range score {
		if n >= leastChanges {
			score[p] += changeWeight * changes[p] / cs
		}
		score[p] += lowWeight * lows[p] / ls
	}
	best, next := 0, math.Inf(-1)
	for p := range score {
		if score[p] > score[best] {
			best = p
		}
	}
	for p := range score {
		if p != best {
			next = max(next, score[p])
		}
	}
	if score[best]-next < plain*(changeWeight+lowWeight) {
		return -1
	}
	return g.first + ((best-g.first)%bar+bar)%bar
}

// changes adds up, by the place in the bar, how much the mean of the bands over
// the next eight beats differs from that over the last eight, squared, where that is
// more than at the beats around. n is their number.
//
//	d(i) = sum over bands |L(i..i+8) - L(i-8..i)|
func (g *grid) changes(l *levels, start float64) (sum [bar]float64, n int) {
	before, after := make([]float64, l.bands), make([]float64, l.bands)
	d := make([]float64, len(g.times))
	for i := span; i+span < len(g.times); i++ {
		t := g.times[i] + g.lead - start
		if !l.mean(before, g.times[i-span]+g.lead-start, t) || !l.mean(after, t, g.times[i+span]+g.lead-start) {
			continue
		}
		for b := range before {
			d[i] += math.Abs(after[b] - before[b])
		}
	}
	typical := dsp.Median(d)
	for i := bar; i+bar < len(d); i++ {
		if d[i] < changeLeast*typical || d[i] < slices.Max(d[i-bar/2:i+bar/2+1]) {
			continue
		}
		sum[i%bar] += d[i] * d[i]
		n++
	}
	return sum, n
}
