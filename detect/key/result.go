package key

import "math"

// Result is the key of a track.
type Result struct {
	// Key is NoKey when the music has none: noise, drums alone, silence,
	// clusters, scales without a centre. The fields below, apart from TuningCents and
	// Agreement, are then zero or NoKey.
	Key
	// Confidence is the share of tracks with such a result whose key is right,
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
	// Chroma is how strongly each pitch class sounds, C first; the strongest is
	// 1. All are zero when nothing has a pitch.
	Chroma [12]float64
}

// Result evaluates what was written so far; writing may go on after it.
func (m *Meter) Result() Result {
	e := m.evidence()
	r := Result{Key: NoKey, RunnerUp: NoKey, TuningCents: math.NaN()}
	if e.chroma.sum() == 0 {
		return r
	}
	r.TuningCents = e.cents
	top := 0.0
	for _, v := range e.chroma {
		top = max(top, v)
	}
	for i, v := range e.chroma {
		r.Chroma[i] = v / top
	}
	if !e.tonal() {
		return r
	}
	r.Key, r.RunnerUp = e.first, e.second
	r.Confidence = e.confidence()
	r.Agreement = e.agreement
	return r
}

// evidence is what the decision rests on.
type evidence struct {
	cents, focus  float64 // of tuning
	chroma        chroma  // of the track
	first, second Key
	fit, margin   float64 // score of the first key, and its lead on the second
	agreement     float64
	density       float64 // tonal weight a frame
}

func (m *Meter) evidence() (e evidence) {
	e.first, e.second = NoKey, NoKey
	var total segment
	for i := range m.segments {
		total.merge(&m.segments[i])
	}
	e.cents, e.focus = tuning(&total)
	note := semitoneSpectrum()
	parts := make([]chroma, len(m.segments))
	for i := range m.segments {
		parts[i] = m.segments[i].chroma(e.cents, note)
		s := parts[i].sum()
		e.density += s / float64(max(total.frames, 1))
		if s >= leastWeight {
			// Each second of the track counts alike, loud or soft, dense or thin.
			e.chroma.addScaled(float64(m.segments[i].frames)/s, &parts[i])
		}
	}
	if e.chroma.sum() == 0 {
		return e
	}
	s := score(&e.chroma)
	var f2 float64
	e.first, e.second, e.fit, f2 = s.best()
	e.margin = e.fit - f2
	e.agreement = agreement(parts, e.first)
	return e
}

// agreement is the share of the stretches of two segments, one every segment,
// whose best key is k.
func agreement(parts []chroma, k Key) float64 {
	n, agree := 0, 0
	for i := range parts {
		c := parts[i]
		if i+1 < len(parts) {
			c.addScaled(1, &parts[i+1])
		} else if i > 0 {
			break
		}
		if c.sum() < leastWeight {
			continue
		}
		s := score(&c)
		first, _, _, _ := s.best()
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
	// leastDensity is the weight of the notes a frame (0.24 | 0.4).
	leastDensity = 0.3
	// leastFocus is how sharply pitch gathers on the semitones (0.06 | 0.07).
	leastFocus = 0.06
	// leastClasses and mostClasses bound the pitch classes that sound: one
	// alone has no third and so no mode, all twelve alike have no tonic (a kick:
	// 1.8, a chromatic scale: 12 | 3.8 to 11.2).
	leastClasses = 2.5
	mostClasses  = 11.6
	// leastFit is the correlation with the profiles of the best key (0.45 | 0.6).
	leastFit = 0.5
)

// tonal tells whether the music has a key at all.
func (e *evidence) tonal() bool {
	n := e.chroma.classes()
	return e.density >= leastDensity && e.focus >= leastFocus && e.fit >= leastFit &&
		n >= leastClasses && n <= mostClasses
}

// The confidence is a logistic regression,
//
//	confidence = 1 / (1 + exp(-(c0 + c1 min(margin, mostMargin) + c2 agreement min(1, margin/clearLead))))
//
// see the package comment for what it was fitted on.
const (
	confidenceBase      = -0.2
	confidenceMargin    = 5.5
	confidenceAgreement = 0.9
	mostMargin          = 0.25
	// clearLead is the margin from which agreement counts in full: that all of
	// the track is equally undecided says nothing.
	clearLead = 0.05
)

// confidence is the share of results with such evidence that are right.
func (e *evidence) confidence() float64 {
	z := confidenceBase + confidenceMargin*min(e.margin, mostMargin) + confidenceAgreement*e.agreement*min(1, e.margin/clearLead)
	return 1 / (1 + math.Exp(-z))
}
