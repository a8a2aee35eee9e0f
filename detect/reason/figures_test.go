package reason

import (
	"math"
	"testing"
)

// A display counts a second when it is over; the hour shows when it is there.
func TestClock(t *testing.T) {
	for _, c := range []struct {
		s    float64
		want string
	}{
		{0, "0:00"}, {0.999, "0:00"}, {1, "0:01"}, {59.6, "0:59"}, {60, "1:00"}, {119.99, "1:59"}, {600, "10:00"},
		{3599.9, "59:59"}, {3600, "1:00:00"}, {3661, "1:01:01"}, {36000, "10:00:00"},
		{-0.1, ""}, {math.NaN(), ""}, {math.Inf(1), ""}, {math.Inf(-1), ""},
	} {
		if got := Clock(c.s); got != c.want {
			t.Errorf("%g s: %q, want %q", c.s, got, c.want)
		}
	}
}

// A place is rounded to the millisecond as a whole: no minute has 60 s.
func TestPlace(t *testing.T) {
	for s, want := range map[float64]string{0: "0:00.000", 65.25: "1:05.250", 119.9994: "1:59.999", 119.9996: "2:00.000", 3661.0004: "61:01.000"} {
		if got := Place(s); got != want {
			t.Errorf("%g s: %q, want %q", s, got, want)
		}
	}
	if got := Capital("ffmpeg: checksum") + Capital("flat") + Capital(""); got != "ffmpeg: checksumFlat" {
		t.Error(got)
	}
}

func TestCounted(t *testing.T) {
	for n, want := range []string{"0 tracks", "1 track", "2 tracks"} {
		if got := Counted(n, "track"); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}

func TestPlaces(t *testing.T) {
	for want, at := range map[string][]float64{
		"": nil, "1:05.250": {65.25}, "0:00.000, 10:00.001": {0, 600.001},
		"0:01.000, 0:02.000, 0:03.000, 0:04.000, 0:05.000":        {1, 2, 3, 4, 5},
		"0:01.000, 0:02.000, 0:03.000, 0:04.000, 0:05.000 and on": {1, 2, 3, 4, 5, 6},
	} {
		if got := Places(at); got != want {
			t.Errorf("%v: %q, want %q", at, got, want)
		}
	}
}
