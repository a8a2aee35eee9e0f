package standout

import (
	"math"

	"dubgauge/detect"
	"dubgauge/detect/reason"
)

// NoTrim is that of a track without a level.
var NoTrim = unlimited(detect.None, detect.None, detect.None)

// unlimited is a trim of which nothing is known to be left to a limiter.
func unlimited(wanted, safe, limiting detect.Value) Trim {
	return Trim{TrimDB: wanted, SafeDB: safe, LimitingDB: limiting, LimitingP95DB: detect.None,
		LimitingOver2: detect.None, LimitingAtS: detect.None, MixShortDB: detect.None, FlatShare: detect.None}
}

// trim works out what to do about a level. wanted is the gain in dB that brings the
// track to its group, truePeak in dBTP. The trim is rounded to 0.1 dB; what can be
// baked into the file is rounded down, so that it holds:
//
//	safe = trim                                     for a trim <= 0
//	safe = max(0, min(trim, ceiling - true peak))   for a trim > 0
func trim(wanted, truePeak detect.Value, ceiling float64, table *detect.Limiting) Trim {
	w := tenth(float64(wanted))
	switch {
	case w <= 0:
		return unlimited(w, w, 0)
	case !truePeak.Exists():
		return unlimited(w, detect.None, detect.None)
	}
	// 1e-9 dB: a headroom of exactly 2.3 dB is not to become 2.2.
	headroom := math.Floor((ceiling-float64(truePeak))*10+1e-9) / 10
	safe := max(0, min(w, tenth(headroom)))
	t := unlimited(w, safe, 0)
	t.limiting(table, truePeak, ceiling)
	return t
}

// Words are the figures as the sentence about them takes them.
func (t *Trim) Words() reason.Trim {
	return reason.Trim{
		Wanted: float64(t.TrimDB), Safe: float64(t.SafeDB), Limiting: float64(t.LimitingDB), P95: float64(t.LimitingP95DB),
		Over2: float64(t.LimitingOver2), At: float64(t.LimitingAtS), Short: float64(t.MixShortDB), Flat: float64(t.FlatShare),
	}
}

// tenth rounds to 0.1 dB, halves away from zero, without a negative zero. Both signs
// round alike, as words.Style does, so that a trim is the negative of its mismatch.
func tenth(v float64) detect.Value {
	return detect.Value(math.Round(v*10)/10 + 0)
}
