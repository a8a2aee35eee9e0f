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
	if got := MP3320.Expected(-1); math.Abs(got+0.52) > 1e-9 {
		t.Errorf("expected %v, want -0.52", got)
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
