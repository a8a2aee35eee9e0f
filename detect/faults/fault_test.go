package faults

import (
	"math"
	"testing"

	"dubgauge/decode/stream"
	"dubgauge/detect/reason"
)

func TestFromStream(t *testing.T) {
	for _, tt := range []struct {
		in   *stream.Error
		want reason.Kind
		at   float64
	}{
		{stream.Errorf(stream.Damaged, "a frame").AtTime(2.5), reason.Damaged, 2.5},
		{stream.Errorf(stream.Truncated, "the end"), reason.Truncated, math.NaN()},
		{stream.Errorf(stream.Unsupported, "layer I"), reason.Format, math.NaN()},
		{stream.Errorf(stream.Unsupported, "the name").Of(stream.WrongName), reason.Ending, math.NaN()},
		{stream.Errorf(stream.Unsupported, "no last page").AtTime(3).Of(stream.NoEnd), reason.NoEnd, 3},
		{stream.Errorf(stream.Unsupported, "the tag").AtTime(0).Of(stream.WrongTag), reason.TagLength, 0},
	} {
		f := FromStream(*tt.in)
		if f.Kind != tt.want || f.Detail != tt.in.Detail || !(f.At == tt.at || math.IsNaN(f.At) && math.IsNaN(tt.at)) {
			t.Errorf("FromStream(%v) = %+v", tt.in, f)
		}
	}
}
