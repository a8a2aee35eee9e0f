package continuity

import "math"

const (
	// leanFrom and leanTo bound the half-octave bands in which the channels are compared,
	// in hertz.
	leanFrom, leanTo = 40.0, 14000.0
	// The balance of a band is off by chance with a standard deviation, in dB, of
	//
	//	sigma^2 = leanSure^2 + leanWide^2 (1 - correlation)
	//
	// as what is in the middle of a mix is equal in both channels, and what is not may lie
	// anywhere. Fitted to clean masters.
	leanSure, leanWide = 0.3, 3.5
	// A channel is weak when the bands' mean, weighted by 1/sigma^2, is off by weakDB and
	// weakDoubt times its own standard deviation. Clean masters lie within 0.9 dB where
	// that deviation is 0.4 dB.
	weakDB, weakDoubt = 1.4, 1.2
)

// lean is the balance of the whole track, left over right in dB, with its standard
// deviation; ok is false where there is nothing to tell it by.
func (l *lag) lean() (db, sigma float64, ok bool) {
	weights, sum := 0.0, 0.0
	for hz := leanFrom; hz < leanTo; hz *= math.Sqrt2 {
		var left, right, cross float64
		for k := l.bin(hz); k < l.bin(hz*math.Sqrt2); k++ {
			left += l.power[0][k]
			right += l.power[1][k]
			cross += real(l.cross[k])
		}
		if !(left > 0) || !(right > 0) {
			continue
		}
		w := 1 / (leanSure*leanSure + leanWide*leanWide*max(0, 1-cross/math.Sqrt(left*right)))
		weights += w
		sum += w * (decibels(left) - decibels(right))
	}
	if weights == 0 || l.frames < lateFrames {
		return 0, 0, false
	}
	return sum / weights, 1 / math.Sqrt(weights), true
}

// weak names a channel that is down in the whole track.
func (m *Meter) weak() []Finding {
	d, sigma, ok := m.lag.lean()
	if !ok || math.Abs(d) < weakDB+weakDoubt*sigma || math.Abs(d) >= weakMost {
		return nil
	}
	return []Finding{weakWhole(d)}
}
