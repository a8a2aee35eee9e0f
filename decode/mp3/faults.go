package mp3

import (
	"fmt"

	"dubgauge/decode/stream"
)

// maxFaults bounds the list of faults; what comes after is only counted.
const maxFaults = 100

// faultList collects what was wrong and was got over. Damaged granules in a row
// are one fault.
type faultList struct {
	rate    int // of the stream, in hertz
	list    []stream.Error
	omitted int

	run      stream.Error // the damage that is going on
	runUntil int64        // sample after it, -1 when none is
	runFrom  int64
}

func (l *faultList) add(e *stream.Error) {
	l.flush()
	l.put(e)
}

func (l *faultList) put(e *stream.Error) {
	if len(l.list) >= maxFaults-1 {
		l.omitted++
		return
	}
	l.list = append(l.list, *e)
}

// muted notes that the samples from to until are silent because of cause.
func (l *faultList) muted(from, until, offset int64, cause error) {
	if l.runUntil == from && l.runUntil > l.runFrom {
		l.runUntil = until
		return
	}
	l.flush()
	l.runFrom, l.runUntil = from, until
	l.run = stream.Error{Kind: stream.Damaged, Detail: cause.Error(), Offset: offset, At: seconds(from, l.rate)}
}

// flush ends the damage that is going on.
func (l *faultList) flush() {
	if l.runUntil <= l.runFrom {
		return
	}
	e := l.run
	e.Detail = fmt.Sprintf("%s; %.3f s muted", e.Detail, float64(l.runUntil-l.runFrom)/float64(l.rate))
	l.put(&e)
	l.runFrom, l.runUntil = 0, 0
}

// all returns the faults so far, with the damage that is going on.
func (l *faultList) all() []stream.Error {
	l.flush()
	if l.omitted == 0 {
		return append([]stream.Error(nil), l.list...)
	}
	return append(append([]stream.Error(nil), l.list...),
		*stream.Errorf(stream.Damaged, "%d more places like these", l.omitted))
}

func seconds(samples int64, rate int) float64 {
	return max(float64(samples)/float64(rate), 0)
}
