// Package tempo measures the tempo of a track: beats per minute over the whole
// track, the next likely metrical level, the first beat, the drift, the swing,
// and how sure all that is.
//
// The samples become an onset curve (see onset.go) of 172 values a second while
// they are written; Result then looks for the period with the Fourier
// transform and the autocorrelation of the whole curve, and takes the exact
// tempo from the phase of the curve along the track, so that its resolution
// does not depend on a grid of lags.
//
// Tempi are in beats per minute, times in seconds from the first sample,
// tempo changes and swing in percent. A number that does not exist is NaN.
//
// Limits: tempi of 60 to 200 BPM in two or four beats to the bar are looked for; sample
// rates of 8 to 192 kHz. A Meter holds 12 bytes for each value of the onset
// curve and, past 51 minutes, halves its rate, so that it never holds more than
// 6.3 MB and 4 MB besides; Result takes about four times that while it works.
package tempo

import "math"

// Result is what is found in a track. A number that does not exist is NaN.
type Result struct {
	// BPM is the tempo, NaN where there is no steady pulse.
	BPM float64
	// Alternative is the next likely reading of the beat, usually half or
	// double the tempo.
	Alternative float64
	// Confidence, 0 to 1, is the chance that BPM is what a listener taps.
	Confidence float64
	// FirstBeat is the time of the first beat that sounds; BeatConfidence, 0 to 1, is the chance
	// that it is on the beat where the tempo is right, and not half of one or a quarter off.
	FirstBeat, BeatConfidence float64
	// FirstDownbeat is the first beat that sounds and begins a bar of four, where that is
	// plain and the bars go on so to the end (or to ChangeAt); DownbeatConfidence, 0 to 1,
	// is the chance that it does.
	FirstDownbeat, DownbeatConfidence float64
	// DriftPercent is the difference between the fastest and the slowest tempo
	// of the track in percent of BPM; 0 for a track that holds its tempo.
	DriftPercent float64
	// DriftFrom is the time from which the tempo differs from the opening one.
	DriftFrom float64
	// ChangeAt is where one steady tempo gives way to another, from ChangeFrom to ChangeTo
	// in BPM; BPM is then that which is held longest, and the first beat, the downbeat and the
	// swing are of the first part. NaN where the tempo holds or drifts. Changes are all of
	// them, the first one among them.
	ChangeAt, ChangeFrom, ChangeTo float64
	Changes                        []Change
	// Swing says how late the off-beat sixteenths lie, in percent of an eighth:
	// 50 is straight, 66.7 a triplet. NaN where there are none.
	Swing float64
	// EighthSwing is the same of the off-beat eighths, in percent of a beat.
	EighthSwing float64
	// SwingConfidence and EighthSwingConfidence, 0 to 1, are the chance that each of them is
	// within two points; NaN where it is not given.
	SwingConfidence, EighthSwingConfidence float64
	// Pattern tells how the low end moves: the autocorrelation of its onsets at one
	// to PatternSteps sixteenths, against that at nought; nil without a tempo.
	Pattern []float64
	// Beats are all of the track, in their order; those
	// before the track's first sample may have a time below 0.
	Beats []Beat
	// Uncertainty is the standard error of BPM in beats per minute.
	Uncertainty float64
}

// Change is a place in seconds where one steady tempo gives way to another, in BPM.
type Change struct{ At, From, To float64 }

// Meter takes in a track. It is used by one goroutine.
type Meter struct {
	front  *frontEnd
	result *Result // nil before it was asked for
}

// New makes a Meter for a rate in hertz and a number of channels, both as
// decode's Info has them.
func New(rate, channels int) *Meter {
	return &Meter{front: newFrontEnd(rate, channels)}
}

// Write takes in the next samples: block[c][i] is sample i of channel c, full
// scale being 1. Blocks may be of any length. Nothing of block is kept.
func (m *Meter) Write(block [][]float32) {
	if len(block) > 0 {
		m.front.write(block)
	}
}

// Result analyses what was written. It may be asked for again, but nothing can be written
// after it.
func (m *Meter) Result() Result {
	if m.result == nil {
		r := m.measure()
		m.result = &r
	}
	return *m.result
}

func (m *Meter) measure() Result {
	r := Result{
		BPM: math.NaN(), Alternative: math.NaN(), Confidence: 0, FirstBeat: math.NaN(), BeatConfidence: math.NaN(),
		FirstDownbeat: math.NaN(), DownbeatConfidence: math.NaN(), DriftPercent: math.NaN(), DriftFrom: math.NaN(),
		Swing: math.NaN(), EighthSwing: math.NaN(), SwingConfidence: math.NaN(), EighthSwingConfidence: math.NaN(), Uncertainty: math.NaN(), ChangeAt: math.NaN(), ChangeFrom: math.NaN(), ChangeTo: math.NaN(),
	}
	if float64(m.front.curve.part[0].Len())*m.front.curve.step < shortest {
		return r
	}
	newAnalysis(&m.front.curve).result(&r, m.front)
	return r
}

// shortest is the length, in seconds, below which no tempo is looked for: two
// bars at 120 BPM.
const shortest = 4
