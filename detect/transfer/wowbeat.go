package transfer

import "math"

const (
	// A swing must be greater than all others from timeLow to timeHigh hertz, but for those at
	// quarters of the rate of the bar and near it or its double: a record turns at one speed, a
	// rhythm that is not the bar's, of five beats say, has lines at all of its multiples. The
	// open piece that is in five has 3.1 times the median where it was named and 5.9 elsewhere.
	timeLow, timeHigh = 0.25, 2.6
	// timeFine is the grain in which others are looked for and timeWide how wide a line is
	// under the window, both as multiples of one over the length.
	timeFine, timeWide = 0.7, 2.0
	// bothShare is the share of its threshold that a swing of the pitch and one of the time
	// must have that are named together, and bothAlike the least share of the second that the
	// first has: held notes tell half of what there is. Of 250 clean tracks one has both
	// over 0.5 of their thresholds, and there the pitch swings by a tenth of what the time does.
	bothShare, bothAlike = 0.6, 0.25
	// deniedShare is the share of a swing of the pitch that the time must show too where it
	// could: half.
	deniedShare = 0.5
)

// timing is how far what begins lies off its place in the bar, in seconds, at times from the
// start on.
type timing struct {
	t, off []float64
	bar    float64 // bars a second
	turns  [len(turntables)]timeSwing
}

// timing is nil with no beat or too little on it.
func (b *begins) timing(rate float64, beat Beat) *timing {
	if !(beat.BPM > 0) || beat.Confidence < clickSure {
		return nil
	}
	var times []float64
	for _, p := range b.places() {
		times = append(times, p/rate)
	}
	if len(times) < timeCount {
		return nil
	}
	t, off := offs(times, beat.BPM)
	if len(t) < timeCount {
		return nil
	}
	g := &timing{t: t, off: off, bar: beat.BPM / 60 / 4}
	for i, hz := range turntables {
		g.turns[i] = g.at(hz)
	}
	return g
}

// timeSwing is what there is at the speed of a turntable, the least that would stand out and
// the least that is named, in seconds either way.
type timeSwing struct{ hz, seconds, stands, least float64 }

// percent turns a swing of the time into one of the pitch.
func (s timeSwing) percent(seconds float64) float64 { return 100 * 2 * math.Pi * s.hz * seconds }

// score is how far it is past the least.
func (s timeSwing) score() float64 { return s.seconds / s.least }

// swing is what is said of it.
func (s timeSwing) swing() swing {
	return swing{percent: s.percent(s.seconds), hz: s.hz, score: s.score(), turns: true, timed: true}
}

// at measures the swing at the speed of a turntable.
func (g *timing) at(hz float64) timeSwing {
	var around []float64
	for k, v := range swings(g.t, g.off, timeFrom*hz, timeGrain*hz, timeAround) {
		if math.Abs((timeFrom+float64(k)*timeGrain-1)*hz) > timeSelf {
			around = append(around, v)
		}
	}
	stands := timeStands
	if g.groove(hz) {
		stands *= timeBeat
	}
	stands *= middle(around)
	return timeSwing{hz, swings(g.t, g.off, hz, 0, 1)[0], stands, max(timeLeast, stands)}
}

// wide is how near a frequency is the same.
func (g *timing) wide() float64 { return max(wowNear, timeWide/g.t[len(g.t)-1]) }

// groove tells that a frequency is at a quarter of the rate of the bar, as patterns are.
func (g *timing) groove(hz float64) bool {
	return math.Abs(math.Remainder(hz, g.bar/4)) < g.wide()
}

// others is the greatest swing at another frequency, in seconds.
func (g *timing) others(hz float64) (most float64) {
	step := timeFine / g.t[len(g.t)-1]
	for k, v := range swings(g.t, g.off, timeLow, step, int((timeHigh-timeLow)/step)) {
		f, wide := timeLow+float64(k)*step, g.wide()
		if math.Abs(f-hz) > wide && math.Abs(f-2*hz) > wide && !g.groove(f) {
			most = max(most, v)
		}
	}
	return most
}

// swing looks for one at the speeds of a turntable.
func (g *timing) swing() (out swing) {
	if g == nil {
		return out
	}
	for _, s := range g.turns {
		if score := s.score(); score >= 1 && score > out.score && s.seconds > g.others(s.hz) {
			out = s.swing()
		}
	}
	return out
}

// denies tells that what begins would show a swing of the pitch that it doesn't: it can't
// where each bar swings alike.
func (g *timing) denies(pitch swing) bool {
	if g == nil {
		return false
	}
	for _, s := range g.turns {
		if math.Abs(pitch.hz-s.hz) < wowNear && !g.groove(s.hz) {
			need := deniedShare * pitch.percent
			return s.percent(s.stands) <= need && s.percent(s.seconds) < need
		}
	}
	return false
}

// both looks for a swing of the time and one of the pitch, among all there are, that each
// alone would be too little.
func (g *timing) both(pitch []swing) (out swing) {
	if g == nil {
		return out
	}
	for _, s := range g.turns {
		for _, p := range pitch {
			if math.Abs(p.hz-s.hz) < wowNear && min(p.score, s.score()) >= bothShare && p.percent >= bothAlike*s.percent(s.seconds) && s.score() > out.score {
				out = s.swing()
			}
		}
	}
	return out
}

// LeastWow is the least wow at 33 1/3 turns a minute, in percent of the speed either way,
// that the beat of a track would show: what its players do by themselves hides less. It is
// infinite where there is no beat. Ask for it after the Result.
func (m *Meter) LeastWow(b Beat) float64 {
	g := m.begins.timing(m.clicks.rate, b)
	if g == nil {
		return math.Inf(1)
	}
	s := g.turns[0]
	return s.percent(max(s.least, g.others(s.hz)))
}
