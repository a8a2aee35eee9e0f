package render

import (
	"fmt"
	"math"

	"dubgauge/detect/advice"
	"dubgauge/library"
)

// Options of a copy.
type Options struct {
	Format  Format
	Ceiling float64 // dBTP, that a gain upwards may not pass
	Limit   bool    // a limiter takes what the peaks do not allow
	// Moves are the filters of an advice, which come first: the trim is then that of the
	// track behind them.
	Moves []advice.Move
}

// Refusal says why no copy is made of a track.
type Refusal struct{ Why string }

func (r *Refusal) Error() string { return r.Why }

// Plan is what is to be done to a track.
type Plan struct {
	Target  float64 // LUFS, of the loudest 30 s as they are played
	Wanted  float64 // dB from the track to the target
	Gain    float64 // dB; before the limiter, where there is one, the first try
	Limited bool
	Ceiling float64 // dBTP, of the limiter
	Missing float64 // dB that the peaks do not allow
	Moves   []advice.Move
}

// leastGain in dB is the least that a copy is made for: what a trim is rounded to.
const leastGain = 0.05

// MakePlan works out what to do for the trim of t. The error is a *Refusal.
func MakePlan(t *library.Track, o Options) (Plan, error) {
	if why := unfit(t, o.Format); why != "" {
		return Plan{}, &Refusal{why}
	}
	p := Plan{Target: float64(t.Reference.LUFS), Wanted: -float64(t.MismatchDB), Ceiling: o.Ceiling}
	if p.Moves = o.Moves; len(p.Moves) > 0 {
		return p, nil // until it was heard behind them
	}
	if t.Trim.TrimDB == 0 {
		p.Gain = 0 // nothing is done for less than a trim is rounded to
		p.Target += float64(t.MismatchDB)
		p.Wanted = 0
		return p, nil
	}
	peak := float64(t.Peak.TruePeakDBTP)
	if peak+p.Wanted > o.Ceiling && o.Limit {
		if !t.Trim.LimitingDB.Exists() {
			return p, &Refusal{"no limiter brings it to its references: " + t.Trim.Words().Sentence()}
		}
		p.Limited = true
		p.Gain = max(p.Wanted, float64(t.Trim.LimitingDB)+o.Ceiling-peak)
		return p, nil
	}
	return p, p.turn(peak, float64(t.Peak.SamplePeakDBFS))
}

// turn finds the gain without a limiter for a true peak in dBTP and a highest sample in dBFS.
func (p *Plan) turn(peak, sample float64) error {
	switch {
	case p.Wanted > 0:
		if p.Ceiling-peak < leastGain {
			return &Refusal{fmt.Sprintf("its peaks leave no room for %+.1f dB in the file: have a limiter take them, or trim it at the mixer", p.Wanted)}
		}
		p.Gain = min(p.Wanted, p.Ceiling-peak)
	default:
		p.Gain = min(p.Wanted, -sample) // no sample is cut off
	}
	p.Missing = p.Wanted - p.Gain
	p.Target -= p.Missing
	return nil
}

// unfit says why no copy can be made of t, "" when one can.
func unfit(t *library.Track, f Format) string {
	m := &t.Measurement
	switch {
	case t.Marks.Ignore:
		return "it is marked to be ignored, so it has no trim"
	case t.Missing():
		return "its file is not there: plug the stick in, and scan again"
	case t.Error != nil:
		return "it cannot be read whole: put the file right first"
	case !t.Trim.TrimDB.Exists():
		return "there is no level to go by"
	case t.Trim.Words().Question():
		return t.Trim.Words().Sentence()
	case !t.Peak.TruePeakDBTP.Exists() || !t.Peak.SamplePeakDBFS.Exists():
		return "its true peak is not known"
	case m.File.Channels > 2:
		return fmt.Sprintf("it has %d channels: copies have one or two, as players take no more", m.File.Channels)
	}
	if f == WAV && dataBytes(m.File.SampleRateHz, m.File.Channels, float64(m.File.DurationS)) > wavMost {
		return "it is too long for WAV, which ends at 4 GB: choose FLAC"
	}
	return ""
}

func dataBytes(rate, channels int, seconds float64) float64 {
	return math.Ceil(seconds*float64(rate)) * float64(channels) * bits / 8
}
