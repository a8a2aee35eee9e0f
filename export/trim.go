package export

import (
	"math"

	"dubgauge/detect"
	"dubgauge/detect/standout"
	"dubgauge/library"
)

// tenth is the step in dB in which sheets show trims.
const tenth = 0.1

// rounding keeps a figure that is a whole tenth from being rounded down, in
// tenths; far below the four decimals that are stored.
const rounding = 1e-6

// Trims gives a track's trim as every sheet shows it, in steps of 0.1 dB: the
// wanted one rounded, the safe one rounded down, so that it is safe still, and
// the limiting as the difference of the two.
func Trims(t *library.Track) standout.Trim {
	wanted := detect.Value(math.Round(float64(t.Trim.TrimDB)/tenth) * tenth)
	safe := detect.Value(math.Floor(float64(t.Trim.SafeDB)/tenth+rounding) * tenth)
	if safe > wanted {
		safe = wanted
	}
	return standout.Trim{TrimDB: wanted, SafeDB: safe, LimitingDB: wanted - safe}
}
