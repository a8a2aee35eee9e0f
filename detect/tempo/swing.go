package tempo

import (
	"math"
	"slices"
)

// The swing is read from the attacks of the off-beat sixteenths, each of the eight of a
// bar by itself, in the fine envelope: that is the slope of the signal, in which hats and
// percussion outweigh bass and chords. It is given where those that are played agree.
const (
	// swingLow and swingHigh bound where an off-beat sixteenth is looked for, in
	// parts of an eighth.
	swingLow  = 0.45
	swingHigh = 0.72
	// offSixteenths and offEighths are the numbers of off-beats in a bar.
	offSixteenths = PatternSteps / 2
	offEighths    = bar
	// A sixteenth is played where the envelope rises by playedRise of what was before it
	// and by playedShare of the mean rise of the eighths: gates, pumping and tails of
	// reverberation rise by less. One that is alone must rise by aloneRise. Fitted to 45
	// songs of even seeds.
	playedRise  = 0.33
	playedShare = 0.15
	aloneRise   = 0.65
	// agree is how far, in percent, a sixteenth may lie from the median of those that are
	// played, and agreeShare the share of their rises that must.
	agree      = 1.5
	agreeShare = 0.8
	// swelling is how much greater the rise over 12 ms either way is than over 4 ms in a
	// sound without an attack: a drum measures 0.6 to 1, a shaker that swells for 15 ms 1.9.
	swelling = 1.3
	// triplet is where the second of two strokes of a triplet lies, tripletWithin how near to it
	// one must be, both in percent, and tripletShare the share of the rises that must be: of songs
	// in bars of three, read at two thirds of their tempo, 29 to 100 % are, of nearly all others none.
	triplet       = 200 / 3.
	tripletWithin = 2
	tripletShare  = 0.25
	// The chance that a swing is within two points, by a logistic regression on 464 swings of
	// songs of nine genres of even seeds, of clips of them and of them in bars of three: it is
	// wrong where the beat is, seldom else. See swingConfidence.
	swingBase     = 1.4
	swingTempo    = 0.87
	swingCompound = -3.2
	// leastTempo and mostTempo bound the confidence of the tempo there.
	leastTempo = 0.02
	mostTempo  = 0.98
	// beside is how far before and after its place an eighth is looked for, in seconds.
	beside = 0.02
)

// offBeat is an off-beat sixteenth: how late, in percent of an eighth, how much the envelope
// rises there, and how much of what was before; on is the rise of the eighth before it.
type offBeat struct{ late, rise, share, on float64 }

// offBeats are what is played between the strokes of a grid: the off-beat sixteenths between
// eighths, off of them in a bar, or the off-beat eighths between beats.
func (b *reading) offBeats(g *grid, fine *envelope, off int) []offBeat {
	var all []offBeat
	for k := range off {
		all = append(all, b.offBeat(g, fine, k, off))
	}
	return played(all)
}

// swingConfidence is the chance that a swing is right, 0 to 1, tempo being that of the tempo,
// and compound whether the beats may be those of bars of three.
//
//	1 / (1 + exp(-(swingBase + swingTempo log(c / (1 - c)) + swingCompound compound)))
func swingConfidence(tempo float64, compound bool) float64 {
	c := min(max(tempo, leastTempo), mostTempo)
	z := swingBase + swingTempo*math.Log(c/(1-c))
	if compound {
		z += swingCompound
	}
	return 1 / (1 + math.Exp(-z))
}

// swingOf is the swing of off-beats, NaN for none, and whether they are mostly those of triplets.
func swingOf(played []offBeat) (late float64, triplets bool) {
	return agreed(played), inTriplets(played)
}

// howSure fills in how sure the swings are.
func (r *Result) howSure(compound bool) {
	sure := swingConfidence(r.Confidence, compound)
	if !math.IsNaN(r.Swing) {
		r.SwingConfidence = sure
	}
	if !math.IsNaN(r.EighthSwing) {
		r.EighthSwingConfidence = sure
	}
}

// inTriplets tells whether the off-beats are mostly those of triplets.
func inTriplets(played []offBeat) bool {
	all, near := 0.0, 0.0
	for _, o := range played {
		all += o.rise
		if math.Abs(o.late-triplet) <= tripletWithin {
			near += o.rise
		}
	}
	return len(played) > 0 && near >= tripletShare*all
}

// played are those of the off-beats that are.
func played(all []offBeat) (out []offBeat) {
	on := 0.0
	for _, o := range all {
		on += o.on / float64(len(all))
	}
	for _, o := range all {
		if o.share >= playedRise && o.rise >= playedShare*on {
			out = append(out, o)
		}
	}
	return out
}

// agreed is the median of the off-beats by their rises, NaN where they do not agree.
func agreed(played []offBeat) float64 {
	if len(played) == 0 || len(played) == 1 && played[0].share < aloneRise {
		return math.NaN()
	}
	slices.SortFunc(played, func(a, b offBeat) int {
		if a.late < b.late {
			return -1
		}
		return 1
	})
	all := 0.0
	for _, o := range played {
		all += o.rise
	}
	middle, sum := 0, played[0].rise
	for sum < all/2 {
		middle++
		sum += played[middle].rise
	}
	near := 0.0
	for _, o := range played {
		if math.Abs(o.late-played[middle].late) <= agree {
			near += o.rise
		}
	}
	if near < agreeShare*all {
		return math.NaN()
	}
	return played[middle].late
}

// offBeat times the off-beat after stroke k of the bars, which have off of them, added up over
// the track, and gives the rise of that stroke. Its share is 0 where it is not played, swells,
// or rises only towards the next stroke.
func (b *reading) offBeat(g *grid, fine *envelope, k, off int) (o offBeat) {
	step := float64(bar) / float64(off) / b.pulse.hz // seconds
	var times []float64
	for t := g.phase + float64(k)*step; t+step < b.duration() && t < fineLength; t += float64(off) * step {
		times = append(times, b.seconds(t)+g.lead)
	}
	sum := fine.around(times, -beside, swingHigh*step+3*attackSpan)
	for i := attackSteps; i < int(2*beside/attackStep); i++ {
		o.on = max(o.on, rise(sum, i))
	}
	from := int(math.Round((beside + swingLow*step) / attackStep))
	best := from
	for i := from; float64(i)*attackStep < beside+swingHigh*step; i++ {
		if rise(sum, i) > rise(sum, best) {
			best = i
		}
	}
	r := rise(sum, best)
	if r <= 0 || rise(sum, best-1) > r || rise(sum, best+1) > r || swells(sum, best) {
		return o
	}
	late := float64(best)*attackStep - beside - attackDelay
	o.late, o.rise, o.share = 100*late/step, r, r/attackWeight/max(sum[best-attackSteps], 1e-300)
	return o
}

// swells tells whether the rise at i is that of a sound without an attack to be timed: over
// twice the reach it is much greater.
func swells(sum []float64, i int) bool {
	return sum[i+2*attackSteps]-sum[i-2*attackSteps] >= swelling*(sum[i+attackSteps*2/3]-sum[i-attackSteps*2/3])
}
