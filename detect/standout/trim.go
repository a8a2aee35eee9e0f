package standout

import (
	"math"

	"dubgauge/detect"
)

// trim turns the wanted gain in dB into one that keeps the true peak at or under
// the ceiling. The wanted gain is rounded to 0.1 dB; the safe one is rounded
// down, so that it holds:
//
//	safe = min(wanted, ceiling - true peak)
func trim(wanted, truePeak detect.Value, ceiling float64) Trim {
	w := math.Round(float64(wanted)*10) / 10
	safe := w
	if truePeak.Exists() {
		// 1e-9 dB: a headroom of exactly 2.3 dB is not to become 2.2.
		safe = math.Min(w, math.Floor((ceiling-float64(truePeak))*10+1e-9)/10)
	}
	return Trim{
		TrimDB: tenth(w), SafeDB: tenth(safe), LimitingDB: tenth(w - safe),
	}
}

// tenth rounds to 0.1 dB, without a negative zero.
func tenth(v float64) detect.Value {
	return detect.Value(math.Round(v*10)/10 + 0)
}
