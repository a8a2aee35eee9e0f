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
	Count  int     // places, where a kind is counted; 0 where it is not
}

// nowhere is the At of a fault of the whole track.
var nowhere = math.NaN()

// troubles are the kinds of what a decoder says more closely.
var troubles = map[stream.Trouble]reason.Kind{
	stream.WrongName: reason.Ending, stream.NoEnd: reason.NoEnd, stream.WrongTag: reason.TagLength,
}

// FromStream turns what a decoder got over into a Fault.
func FromStream(e stream.Error) Fault {
	f := Fault{Kind: reason.Damaged, Detail: e.Detail, At: nowhere}
	switch e.Kind {
	case stream.Truncated:
		f.Kind = reason.Truncated
	case stream.Unsupported:
		f.Kind = reason.Format
	}
	if k, ok := troubles[e.Trouble]; ok {
		f.Kind = k
	}
	if e.At >= 0 {
		f.At = e.At
	}
	return f
}
