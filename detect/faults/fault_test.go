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
	} {
		f := FromStream(*tt.in)
		if f.Kind != tt.want || f.Detail != tt.in.Detail || !(f.At == tt.at || math.IsNaN(f.At) && math.IsNaN(tt.at)) {
			t.Errorf("FromStream(%v) = %+v", tt.in, f)
		}
	}
}
