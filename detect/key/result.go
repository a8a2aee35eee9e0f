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
		at := float64(h.first*m.perFrames*m.hop) / m.mid.rate
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
	fit           float64 // correlation with the profile of the first key
	probability   float64 // of the first key
	third         float64 // the feature of the first key
	agreement     float64
	density       float64 // weight of the notes a frame, where the track is full
	clear         float64 // the same of clear peaks
}

func (m *Meter) evidence() (e evidence) {
	e.first, e.second = NoKey, NoKey
	var total segment
	for i := range m.segments {
		total.merge(&m.segments[i])
	}
	e.cents, e.focus = tuning(&total)
	note := semitoneSpectrum()
	e.parts = make([]part, len(m.segments))
	for i := range m.segments {
		e.parts[i] = m.segments[i].part(e.cents, note)
	}
	e.density, e.clear = m.balance(e.parts), m.clear()
	for i := range e.parts {
		e.part.add(&e.parts[i])
	}
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
	f := l.features(e.first)
	e.fit, e.third = f[fits], f[third]
	e.agreement = agreement(e.parts, e.first)
	return e
}

// fullShare is the quantile of the segments' notes a frame from which a segment counts
// in full: the passages where most sounds, without the one chord that is louder.
const fullShare = 0.8

// balance gives each second of the track its say, loud or soft: as much as any other
// where it is full of notes, less where it is thin. Drums alone, as at both ends of a
// DJ's track, are thin. With w the weight of a segment and q the quantile:
//
//	w' = frames min(1, (w / frames) / q)
//
// It returns q, 0 where nothing has a pitch.
func (m *Meter) balance(parts []part) (full float64) {
	var rates []float64
	for i := range parts {
		if parts[i].weight >= leastWeight {
			rates = append(rates, parts[i].weight/float64(m.segments[i].frames))
		}
	}
	if len(rates) > 0 {
		slices.Sort(rates)
		full = dsp.Quantile(rates, fullShare)
	}
	for i := range parts {
		if parts[i].weight < leastWeight {
			parts[i] = part{}
			continue
		}
		frames := float64(m.segments[i].frames)
		parts[i].scale(frames / parts[i].weight * min(1, parts[i].weight/frames/full))
	}
	return full
}

// clear is the weight of clear peaks a frame, where the track is full of them.
func (m *Meter) clear() float64 {
	rates := make([]float64, len(m.segments))
	for i := range m.segments {
		rates[i] = m.segments[i].clear / float64(m.segments[i].frames)
	}
	if len(rates) == 0 {
		return 0
	}
	slices.Sort(rates)
	return dsp.Quantile(rates, fullShare)
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
	// leastFit is the correlation with the profiles of the best key (whole tones 0.29 | 0.33).
	leastFit = 0.32
)

// tonal tells whether the music has a key at all.
func (e *evidence) tonal() bool {
	n := e.part.all.classes()
	return e.density >= leastDensity && e.clear >= leastClear && e.focus >= leastFocus && e.fit >= leastFit &&
		n >= leastClasses && n <= mostClasses
}

// The confidence is a logistic regression on the log odds of the key,
//
//	confidence = 1 / (1 + exp(-(c0 + c1 log(p / (1 - p)))))
//
// fitted by TestFit; not more than mostUnclear where the other mode's third sounds
// louder, as where there is none but the overtones'.
const (
	confidenceBase  = 0.20
	confidenceSlope = 1.20
	// mostUnclear is what is claimed at most then: of 65 such pieces of the even seeds half
	// were right.
	mostUnclear = 0.55
)

// confidence is the share of results with such evidence that are right.
func (e *evidence) confidence() float64 {
	c := 1 / (1 + math.Exp(-confidenceBase-confidenceSlope*math.Log(e.probability/(1-e.probability))))
	if e.third < 0 {
		c = min(c, mostUnclear)
	}
	return c
}
