package stream

import "slices"

// Limits on what a header may claim. Analysis sizes its buffers by the rate and
// the channels, so a lying header must not get past Open.
const (
	MinSampleRate = 8000    // Hz, telephone quality: below it there is no music to measure
	MaxSampleRate = 768_000 // Hz, the highest rate that PCM converters offer
	MaxChannels   = 8       // as many as FLAC and a 7.1 layout hold
)

// CheckShape says whether a stream of that rate in hertz and that many channels
// is one that is decoded here.
func CheckShape(rate float64, channels int) *Error {
	switch {
	case channels < 1:
		return Errorf(Damaged, "the header says %d channels", channels)
	case channels > MaxChannels:
		return Errorf(Unsupported, "%d channels, at most %d are read", channels, MaxChannels)
	case !(rate > 0):
		return Errorf(Damaged, "the header says a sample rate of %g Hz", rate)
	case rate < MinSampleRate:
		return Errorf(Unsupported, "a sample rate of %g Hz, which is no music: %d Hz and more are read", rate, MinSampleRate)
	case rate > MaxSampleRate:
		return Errorf(Unsupported, "a sample rate of %g Hz, at most %d are read", rate, MaxSampleRate)
	}
	return nil
}

// maxFaults bounds a FaultList: enough to show where a file is bad.
const maxFaults = 100

// FaultList collects what a decoder got over. Its zero value is empty.
type FaultList struct {
	list []Error
	more int
}

// Add notes e; past 100 faults only their number is kept.
func (l *FaultList) Add(e *Error) {
	if len(l.list) >= maxFaults-1 {
		l.more++
		return
	}
	l.list = append(l.list, *e)
}

// List returns a copy of the faults, the last of which says how many more there
// were when there were too many to keep.
func (l *FaultList) List() []Error {
	out := slices.Clone(l.list)
	if l.more > 0 {
		out = append(out, *Errorf(Damaged, "%d more faults", l.more))
	}
	return out
}
