package coded

import (
	"math"
	"testing"
)

// The rows of the table of measurements that the package names.
func TestRises(t *testing.T) {
	if got, want := MP3320.Rise(), (Rise{0.21, 0.48, 0.71}); got != want {
		t.Errorf("%s: %+v, want %+v", MP3320, got, want)
	}
	if got, want := AAC256.Rise(), (Rise{2.54, 5.69, 10.65}); got != want {
		t.Errorf("%s: %+v, want %+v", AAC256, got, want)
	}
	for _, c := range []struct {
		e         Encoding
		top, want float64
	}{{MP3320, -20, -0.52}, {MP3320, math.NaN(), -0.52}, {AAC256, -33.1, 1}, {AAC256, -33, 2.5}, {AAC256, -10, 2.5}, {AAC256, math.Inf(-1), 1}, {AAC256, math.NaN(), 4.69}} {
		if got := c.e.Expected(-1, c.top); math.Abs(got-c.want) > 1e-9 {
			t.Errorf("%s with a top of %v: expected %v, want %v", c.e, c.top, got, c.want)
		}
	}
}

// Of two bands of -30 dB the powers add up to -27: 10 log10(2) is 3.01.
func TestTop(t *testing.T) {
	nan := math.NaN()
	for _, c := range []struct {
		centres, levels []float64
		want            float64
	}{
		{[]float64{8000, 10000, 12500}, []float64{-3, -30, -30}, -26.9897},
		{[]float64{8000, 10000, 12500}, []float64{-3, -30, nan}, -30},
		{[]float64{8000}, []float64{-3}, nan}, {nil, nil, nan}, {[]float64{10000}, nil, nan}, {nil, []float64{-3}, nan},
	} {
		if got := Top(c.centres, c.levels); math.IsNaN(got) != math.IsNaN(c.want) || math.Abs(got-c.want) > 1e-4 {
			t.Errorf("%v of %v: %v, want %v", c.levels, c.centres, got, c.want)
		}
	}
}

func TestCeiling(t *testing.T) {
	for rise, want := range map[float64]float64{0.48: -0.5, 0.5: -0.5, 0.51: -0.6, 0: 0, -0.2: 0, 2.5: -2.5} {
		if got := Ceiling(rise); math.Abs(got-want) > 1e-9 || math.Signbit(got) != (want < 0) {
			t.Errorf("a rise of %v: %v, want %v", rise, got, want)
		}
	}
}

func TestNames(t *testing.T) {
	for i, want := range []string{"MP3 320 kbit/s", "AAC 256 kbit/s"} {
		if got := All[i].String(); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}
