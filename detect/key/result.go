package key

import (
	"math"
	"slices"

	"dubgauge/detect/dsp"
)

// Result is the key of a track.
type Result struct {
	// Key is NoKey when the music has none: noise, drums alone, silence,
	// clusters, scales without a centre. The fields below, apart from TuningCents and
	// Agreement, are then zero or NoKey.
	Key
	// Confidence is the share of pieces with such a result whose key is right,
	// 0 to 1; see the package comment.
	Confidence float64
	// RunnerUp is the key that fits next best.
	RunnerUp Key
	// TuningCents is how far the music is tuned above A4 = 440 Hz, -50 to 50;
	// NaN when nothing has a pitch.
	TuningCents float64
	// Agreement is the share of the track, 0 to 1, whose own answer is Key,
	// heard in stretches of 10 s.
	Agreement float64
	// Changes are the places where the key changes, in order; Key is then the one that is
	// held longest. Changes to the relative and the parallel key are not named.
	Changes []Change
	// Chroma is how strongly each pitch class sounds, C first; the strongest is
	// 1. All are zero when nothing has a pitch.
	Chroma [12]float64
}

// Result evaluates what was written so far; writing may go on after it.
func (m *Meter) Result() Result {
	e := m.evidence()
	r := Result{Key: NoKey, RunnerUp: NoKey, TuningCents: math.NaN()}
	if e.part.weight == 0 {
		return r
	}
	r.TuningCents = e.cents
	top := 0.0
	for _, v := range e.part.all {
		top = max(top, v)
	}
	for i, v := range e.part.all {
		r.Chroma[i] = v / top
	}
	if !e.tonal() {
		return r
	}
	r.Key, r.RunnerUp = e.first, e.second
	r.Confidence = e.confidence()
	r.Agreement = e.agreement
	for i, h := range e.stretches[1:] {
		at := float64(h.first) * m.segmentSeconds()
		r.Changes = append(r.Changes, Change{AtS: at, From: e.stretches[i].key, To: h.key})
	}
	return r
}

// evidence is what the decision rests on.
type evidence struct {
	cents, focus  float64 // of tuning
	part          part    // of the track, or of the stretch whose key is held longest
	parts         []part  // of its segments, each as much as it counts
	stretches     []held  // of one key each
	first, second Key
	fit           float64 // correlation with the profiles of the key that they fit best
	probability   float64 // of the first key
	seconds       float64 // for which the track is full of notes
	agreement     float64
	density       float64 // weight of the notes a frame, where the track is full
	clear         float64 // the same of clear peaks
}

func (m *Meter) evidence() (e evidence) {
	e.first, e.second = NoKey, NoKey
	var total moment
	for i := range m.moments {
		total.merge(&m.moments[i])
	}
	e.cents, e.focus = tuning(&total)
	m.listen(&e)
	for i := range e.parts {
		e.part.add(&e.parts[i])
	}
	e.seconds = e.part.weight * float64(m.hop) / m.mid.rate
	if e.part.weight == 0 {
		return e
	}
	e.stretches = m.changes(e.parts)
	if len(e.stretches) > 1 {
		e.part = longest(e.stretches).part
	}
	o := e.part.odds()
	e.first, e.second = o.best()
	e.probability = o.of(e.first)
	l := e.part.listener()
	for k := range chordCount {
		e.fit = max(e.fit, l.features(Key{k % 12, Mode(k / 12)})[fits])
	}
	e.agreement = agreement(e.parts, e.first)
	return e
}

// listen fills in the notes and chords of the segments, and how full the track is of them.
func (m *Meter) listen(e *evidence) {
	x, rate := make([]sounds, len(m.moments)), make([]float64, len(m.moments))
	note := semitoneSpectrum()
	for i := range m.moments {
		x[i] = m.moments[i].sounds(e.cents, note)
		rate[i] = x[i].weight / float64(m.moments[i].frames)
	}
	e.density = m.fullness(func(i int) float64 { return x[i].weight })
	e.clear = m.fullness(func(i int) float64 { return m.moments[i].clear })
	e.parts = m.gather(x, rate)
}

// gather sums up the notes and the chords of each segment, x being the notes of the moments
// and rate how full of notes they are. It changes x.
func (m *Meter) gather(x []sounds, rate []float64) []part {
	chords := decodeChords(x, rate)
	chords.steps = steps(m.moments, m.perSegment())
	balance(x, rate)
	parts := make([]part, (len(x)+m.perSegment()-1)/m.perSegment())
	for i := range x {
		p := &parts[i/m.perSegment()]
		p.sounds.add(&x[i])
		chords.tell(i, &p.chords)
	}
	return parts
}

// fullShare is the quantile of a sum a frame from which a moment or a segment counts in
// full: the passages where most sounds, without the one chord that is louder.
const fullShare = 0.8

// fullness is what of a sum over the moments the fuller segments have a frame.
func (m *Meter) fullness(of func(i int) float64) float64 {
	var rates []float64
	for from := 0; from < len(m.moments); from += m.perSegment() {
		sum, frames := 0.0, 0
		for i := from; i < min(from+m.perSegment(), len(m.moments)); i++ {
			sum += of(i)
			frames += m.moments[i].frames
		}
		rates = append(rates, sum/float64(frames))
	}
	if len(rates) == 0 {
		return 0
	}
	slices.Sort(rates)
	return dsp.Quantile(rates, fullShare)
}

// balance gives each half second of the track its say, loud or soft: as much as any other
// where it is full of notes, less where it is thin. Drums alone, as at both ends of a
// DJ's track, are thin. With w the weight of a moment and q the quantile:
//
//	w' = frames min(1, (w / frames) / q) = w min(frames / w, 1 / q)
func balance(x []sounds, rate []float64) {
	var heard []float64
	for _, v := range rate {
		if v >= leastWeight {
			heard = append(heard, v)
		}
	}
	full := 0.0
	if len(heard) > 0 {
		slices.Sort(heard)
		full = dsp.Quantile(heard, fullShare)
	}
	for i := range x {
		if rate[i] < leastWeight {
			x[i] = sounds{}
			continue
		}
		x[i].scale(min(1/rate[i], 1/full))
	}
}

// agreement is the share of the stretches of two segments, one every segment,
// whose best key is k.
func agreement(parts []part, k Key) float64 {
	n, agree := 0, 0
	for i := range parts {
		p := parts[i]
		if i+1 < len(parts) {
			p.add(&parts[i+1])
		} else if i > 0 {
			break
		}
		if p.weight == 0 {
			continue
		}
		o := p.odds()
		first, _ := o.best()
		n++
		if first == k {
			agree++
		}
	}
	return float64(agree) / float64(max(n, 1))
}

// What a track must show to have a key. The bounds lie between what noise,
// speech-like noise, drums, clusters and whole-tone music reach and what music
// with a key goes down to; both are in brackets, as measured by the tests.
const (
	// leastDensity is the weight of the notes a frame where the track is full
	// (1.7 of drums with loud toms, else 1.3 | 1.3), leastClear that of clear peaks (1.1, with loud toms
	// 2.4 | 1.7). Of 17 drum kits with toms one exceeds all bounds.
	leastDensity = 1.25
	leastClear   = 1.2
	// leastFocus is how sharply pitch gathers on the semitones (0.06 | 0.06).
	leastFocus = 0.05
	// leastClasses and mostClasses bound the pitch classes that sound: one
	// alone has no third and so no mode, all twelve alike have no tonic (drums
	// 2.1 to 4, a chromatic scale 11.6 | 4.5 to 11).
	leastClasses = 4
	mostClasses  = 11.2
	// clearFit is the fit (any pitches 0.44 | 0.53, the second key of a track that moves up a
	// semitone) from which up to mostClear classes do: detuned music under loud drums has as many
	// (noise 11.7 | 11.5).
	clearFit  = 0.5
	mostClear = 11.6
	// leastFit is the correlation with the profiles of the key that they fit best (whole tones 0.24 | 0.33).
	leastFit = 0.32
)

// tonal tells whether the music has a key at all.
func (e *evidence) tonal() bool {
	n, most := e.part.all.classes(), mostClasses
	if e.fit >= clearFit {
		most = mostClear
	}
	return e.density >= leastDensity && e.clear >= leastClear && e.focus >= leastFocus && e.fit >= leastFit &&
		n >= leastClasses && n <= most
}

// The confidence is a logistic regression on the log odds of the key and on the time in
// seconds for which the track is full of notes: a clip may be too short for its tonic to show.
//
//	confidence = 1 / (1 + exp(-(c0 + c1 log(p / (1 - p)) + c2 log(time / 30))))
//
// fitted by TestFit to pieces of leastHeard to mostHeard seconds, each weighed by weights
// that are fitted without it.
const (
	confidenceBase  = 0.19
	confidenceSlope = 0.87
	confidenceTime  = 0.52
	leastHeard      = 5
	mostHeard       = 100
)

// certainty is the logarithm of the odds that the key has, and the feature of time.
func (e *evidence) certainty() (odds, time float64) {
	p := min(e.probability, 1-1e-9)
	return math.Log(p / (1 - p)), math.Log(min(max(e.seconds, leastHeard), mostHeard) / 30)
}

// confidence is the share of results with such evidence that are right.
func (e *evidence) confidence() float64 {
	odds, time := e.certainty()
	return 1 / (1 + math.Exp(-confidenceBase-confidenceSlope*odds-confidenceTime*time))
}
