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

func TestCounted(t *testing.T) {
	for n, want := range []string{"0 tracks", "1 track", "2 tracks"} {
		if got := Counted(n, "track"); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}
