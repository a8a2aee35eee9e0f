package faults

import (
	"math"

	"dubgauge/decode/stream"
	"dubgauge/detect/reason"
)

// Fault is one thing that is wrong with a track.
type Fault struct {
	Kind   reason.Kind
	Detail string  // in words, with figures; no full stop
	At     float64 // seconds into the track, NaN when it has no place
}

// nowhere is the At of a fault of the whole track.
var nowhere = math.NaN()

// FromStream turns what a decoder got over into a Fault.
func FromStream(e stream.Error) Fault {
	f := Fault{Kind: reason.Damaged, Detail: e.Detail, At: nowhere}
	switch e.Kind {
	case stream.Truncated:
		f.Kind = reason.Truncated
	case stream.Unsupported:
		f.Kind = reason.Format
	}
	if e.At >= 0 {
		f.At = e.At
	}
	return f
}
