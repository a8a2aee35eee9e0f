package standout

import (
	"math"

	"dubgauge/detect"
)

// noTrim is that of a track without a level.
var noTrim = Trim{TrimDB: detect.None, SafeDB: detect.None, LimitingDB: detect.None}

// trim works out what to do about a level. wanted is the gain in dB that brings the
// track to its group, truePeak in dBTP. The trim is rounded to 0.1 dB; what can be
// baked into the file is rounded down, so that it holds:
//
//	safe = trim                                     for a trim <= 0
//	safe = max(0, min(trim, ceiling - true peak))   for a trim > 0
func trim(wanted, truePeak detect.Value, ceiling float64) Trim {
	w := tenth(float64(wanted))
	switch {
	case w <= 0:
		return Trim{TrimDB: w, SafeDB: w, LimitingDB: 0}
	case !truePeak.Exists():
		return Trim{TrimDB: w, SafeDB: detect.None, LimitingDB: detect.None}
	}
	// 1e-9 dB: a headroom of exactly 2.3 dB is not to become 2.2.
	headroom := math.Floor((ceiling-float64(truePeak))*10+1e-9) / 10
	safe := max(0, min(w, tenth(headroom)))
	return Trim{TrimDB: w, SafeDB: safe, LimitingDB: tenth(float64(w - safe))}
}

// tenth rounds to 0.1 dB, halves away from zero, without a negative zero. Both signs
// round alike, as words.Style does, so that a trim is the negative of its mismatch.
func tenth(v float64) detect.Value {
	return detect.Value(math.Round(v*10)/10 + 0)
}
