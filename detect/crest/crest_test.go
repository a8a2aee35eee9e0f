package crest

import (
	"math"
	"testing"
)

// TestOf: a steady sine in each band has its peak 3.01 dB over its power in one channel, the
// power of two equal channels 3.01 LU over that, so a ratio of -K(f) + 0.69 LU, K being the
// weighting (BS.1770-5; K is 0.05 dB at 500 Hz, 4.0 at 8 kHz, -5.6 at 40 Hz). Bursts in the low
// band stand higher there and nowhere else.
func TestOf(t *testing.T) {
	const rate = 48000
	make2 := func(burst bool) [][]float32 {
		x := make([]float32, 4*rate)
		for i := range x {
			s := float64(i) / rate
			low := math.Sin(2 * math.Pi * 40 * s)
			if burst {
				low *= 0
				if in := math.Mod(s, 0.5); in < 0.05 {
					low = math.Sin(2*math.Pi*40*s) * math.Sin(math.Pi*in/0.05)
				}
			}
			edge := min(1, 10*s, 10*(4-s)) // no edge may ring in the filters
			x[i] = float32(edge) * float32(0.1*low+0.2*math.Sin(2*math.Pi*500*s)+0.1*math.Sin(2*math.Pi*8000*s))
		}
		return [][]float32{x, x}
	}
	steady, bursts := Of(rate, make2(false)), Of(rate, make2(true))
	for _, c := range []struct {
		name      string
		got, want float64
	}{{"low", steady.Low, 6.3}, {"mid", steady.Mid, 0.6}, {"high", steady.High, -3.3}, {"mid beside bursts", bursts.Mid, 0.6}, {"high beside bursts", bursts.High, -3.3}} {
		if math.Abs(c.got-c.want) > 0.2 {
			t.Errorf("%s: %.2f LU, want %.1f", c.name, c.got, c.want)
		}
	}
	// The bursts have 1/20 of the power of the steady sine (half of a tenth, by the sine that
	// shapes them), 13 dB; the filter takes some of so short a burst.
	if d := bursts.Low - steady.Low; d < 9 || d > 13.5 {
		t.Errorf("bursts stand %.1f LU higher, want up to 13", d)
	}
	if got := Of(rate, [][]float32{make([]float32, rate)}); !math.IsNaN(got.Low) {
		t.Errorf("silence: %+v", got)
	}
}
