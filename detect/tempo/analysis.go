package tempo

import "math"

// analysis is the work on one onset curve.
type analysis struct {
	start float64 // time of the first value in the track, seconds
	step  float64 // seconds between values, in steady time
	bend  *bend   // nil where the curve is as it was
	part  [parts][]float64
	total []float64 // the sum of the parts

	levels *levels // of the bands, nil where they are not known
	origin float64 // the time in the track, in seconds, that levels begin at
	opened float64 // the time in the track, in seconds, of the attack that the piece begins with, NaN where unknown
}

// newAnalysis takes the values of c over, which is empty then: a curve of an hour is held
// twice at no time.
func newAnalysis(c *curve) *analysis {
	a := &analysis{start: c.start, step: c.step, opened: math.NaN(), total: make([]float64, c.part[0].Len())}
	half := int(meanSeconds / 2 / c.step)
	for p := range c.part {
		y := make([]float64, len(a.total))
		for i := range y {
			y[i] = float64(*c.part[p].At(i))
			a.total[i] += y[i]
		}
		c.part[p].Cut(0)
		detrend(y, half)
		a.part[p] = y
	}
	detrend(a.total, half)
	return a
}

// steadied is the analysis with its total resampled by b. What is read of a tempo needs no
// more; steadyParts does the rest.
func (a *analysis) steadied(b *bend) *analysis {
	return &analysis{start: a.start, step: a.step, bend: b, total: b.apply(a.total), levels: a.levels, origin: a.origin, opened: a.opened}
}

// steadyParts takes the parts of another over, resampled as its total was.
func (a *analysis) steadyParts(from *analysis) {
	for p, x := range from.part {
		a.part[p] = a.bend.apply(x)
	}
}

// seconds is the time in the track of a steady time, in seconds from the first
// value.
func (a *analysis) seconds(steady float64) float64 {
	if a.bend != nil {
		steady = a.bend.back(steady/a.step) * a.step
	}
	return a.start + steady
}

func (a *analysis) duration() float64 { return float64(len(a.total)) * a.step }

// reading is a tempo found in an analysis.
type reading struct {
	*analysis
	found found
	pulse pulse
}

func (a *analysis) read() reading {
	f := newPeriodicity(a.total, a.step).search()
	return reading{a, f, refine(a.total, a.step, f.bpm/60)}
}

const (
	// steadyCoherence is that of a track which holds its tempo beyond doubt. Machines
	// measure 0.9 to 1, a drift of half a percent 0.2.
	steadyCoherence = 0.9
	// lowShare is the share of the low attacks of the sections full of them from which a section has
	// some: pads have 0.1, kicks and basses 0.5 and more.
	lowShare = 0.25
	// bendGain is how much more coherent a track must become for a moving tempo
	// to be believed: bending finds a little in anything.
	bendGain = 0.1
	// faintest is the mean of the onset curve, in nepers, under which there are no
	// onsets to speak of. Pads alone measure 0.09, soft clicks 0.02,
	// a steady tone 0.01.
	faintest = 0.015
)

// best reads the track as steady and, if that does not go well, as one whose
// tempo changes or moves. Of one that changes, it is the side whose tempo
// is held longest.
func (a *analysis) best() (reading, []side) {
	steady := a.read()
	if steady.pulse.coherence >= steadyCoherence || steady.drummed() >= steadyCoherence {
		return steady, nil
	}
	if sides := a.changed(); sides != nil {
		return longestSide(sides).reading, sides
	}
	return a.bent(steady), nil
}

// drummed is the coherence of the sections in which kicks or a bass play, where those make half of the
// track: chords that swell before the drums begin or while they pause come late against them by
// a sixteenth or more, at the tempo that the drums hold.
func (b *reading) drummed() float64 {
	x, n := b.part[low], sectionValues(b.total, b.step)
	played := make([]float64, len(b.pulse.sections))
	for i := range played {
		for _, v := range x[i*n : (i+1)*n] {
			played[i] += v
		}
	}
	limit := lowShare * quantile(played, loudShare)
	var with []section
	for i, v := range played {
		if v > limit {
			with = append(with, b.pulse.sections[i])
		}
	}
	if 2*len(with) < len(played) {
		return 0
	}
	return coherence(with)
}

// bent reads the track as one whose tempo moves, if that is more coherent.
func (a *analysis) bent(steady reading) reading {
	g := newTempogram(a.total, a.step)
	b := newBend(len(a.total), g.path(g.periodicity().search().bpm/60), g)
	bent := a.steadied(b).read()
	for range 2 {
		b.correct(bent.pulse.sections, a.step, 1/bent.pulse.hz)
		next := a.steadied(b)
		bent = reading{next, bent.found, refine(next.total, a.step, bent.pulse.hz)}
	}
	if bent.pulse.coherence > steady.pulse.coherence+bendGain {
		bent.found = newPeriodicity(bent.total, a.step).search()
		bent.pulse = refine(bent.total, a.step, bent.found.bpm/60)
		bent.steadyParts(a)
		return bent
	}
	return steady
}

// result fills r, which holds NaN everywhere.
func (a *analysis) result(r *Result, f *frontEnd) {
	sum := 0.0
	for _, v := range a.total {
		sum += v
	}
	if sum < faintest*float64(len(a.total)) {
		return
	}
	a.levels, a.origin, a.opened = &f.levels, a.start, a.opening(&f.fine)
	best, sides := a.best()
	opening := &best
	if sides != nil {
		opening = &sides[0].reading
	}
	there := best.there() * opening.attacks(&f.fine, &f.bass)
	r.Confidence = there * best.level()
	if there < least {
		return
	}
	best.tempo(r)
	if sides != nil {
		r.changes(sides)
	}
	r.Alternative = r.BPM * best.found.alternative
	r.Pattern = best.pattern(r.BPM)
	g := opening.grid(&f.fine)
	r.FirstBeat, r.BeatConfidence = g.beat(g.first), g.chance
	r.Beats = best.beats(sides, &g)
	triplets := false
	r.Swing, triplets = swingOf(opening.offBeats(&g, &f.fine, offSixteenths))
	r.EighthSwing, _ = swingOf(opening.offBeats(&g, &f.fine, offEighths))
	beats := opening.played(&g, &f.levels, a.start)
	compound := triplets && inTwos(beats)
	r.howSure(compound)
	if !compound && g.chance >= plain { // a beat that may be half of one off begins no bar
		downbeat, chance := g.downbeat(beats, f.part)
		r.setDownbeat(g.beat(downbeat), chance)
	}
}

// systematic is by how much, in seconds, the arrangement may shift the phase
// between the beginning and the end of a track, for instance where the part
// that marks the beat changes; its effect on the tempo is added to the
// statistical error.
const systematic = 0.003

// certainSigmas is how many standard errors a whole number may lie away and
// still be taken for the tempo: 95 % of a normal distribution lie within.
const certainSigmas = 2

// tempo fills in BPM, its uncertainty and the drift.
func (b *reading) tempo(r *Result) {
	r.BPM = b.pulse.hz * 60
	r.Uncertainty = 60 * math.Hypot(b.pulse.error, b.pulse.hz*systematic/b.duration())
	r.DriftPercent = 0
	if b.bend != nil {
		b.drift(r)
	}
	if whole := math.Round(r.BPM); r.DriftPercent == 0 && math.Abs(r.BPM-whole) <= certainSigmas*r.Uncertainty {
		r.BPM = whole
	}
}

// least is the chance of a pulse below which no tempo is given.
const least = 0.2
