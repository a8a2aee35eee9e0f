package scan

import (
	"time"
)

// byteRates are typical bytes a second of audio by ending, to guess how long a
// file plays before it was opened; corrected by what turns out.
var byteRates = map[string]float64{
	"wav": 176400, "wave": 176400, "aif": 176400, "aiff": 176400, "flac": 110000,
}

// lossyByteRate is that of 320 kbit/s.
const lossyByteRate = 40000

// guessSeconds is about how long a file plays.
func guessSeconds(name string, size int64) float64 {
	rate := byteRates[ending(name)]
	if rate == 0 {
		rate = lossyByteRate
	}
	return float64(size) / rate
}

// left is the time that the rest takes after measuring for so long; negative
// while there is too little to go by.
func (t *tracker) left(measuring time.Duration) time.Duration {
	if t.p.Phase != Measuring {
		return -1
	}
	var left, decoded float64
	for _, k := range t.kinds {
		scale := 1.0
		if k.done > 0 {
			scale = k.actual / k.done
		}
		left += k.left * scale
		decoded += k.actual
	}
	for _, s := range t.inFlight {
		decoded += s
		left -= s
	}
	if left <= 0 {
		return 0
	}
	if measuring < minEvidence || decoded <= 0 {
		return -1
	}
	return time.Duration(left / decoded * float64(measuring)).Round(time.Second)
}
