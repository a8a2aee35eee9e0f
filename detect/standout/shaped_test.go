package standout

import (
	"math"
	"slices"

	"dubgauge/detect"
)

// usual is a balance in the middle of those of the bench.
var usual = detect.Balance{LowDB: -0.8, LowMidDB: -6.8, MidDB: -8.3, PresenceDB: -14.2, TrebleDB: -16.3, AirDB: -21.5, SubShareDB: -1,
	ThirdsDB: detect.Values{-9.1, -11.9, -13.7, -14.3, -20.9, -20.9, -21.4, -22.8}}

// shaped moves a balance by what a filter of so many dB does.
func shaped(b detect.Balance, dB float64, effect tone) detect.Balance {
	for i, f := range []*detect.Value{&b.LowDB, &b.LowMidDB, &b.MidDB, &b.PresenceDB, &b.TrebleDB, &b.AirDB, &b.SubShareDB} {
		*f += detect.Value(dB * effect[i])
	}
	b.ThirdsDB = slices.Clone(b.ThirdsDB)
	for i := range b.ThirdsDB {
		b.ThirdsDB[i] += detect.Value(dB * effect[firstThird+i])
	}
	return b
}

// everyLevel is what moves against the loudness.
var everyLevel = tone{1, 1, 1, 1, 1, 1, 0, 0, 1, 1, 1, 1, 1, 1, 1, 1}

// equalised is b behind so many dB of the filter of a move, against its loudness again.
func equalised(b detect.Balance, dB float64, i int) detect.Balance {
	after := shaped(b, dB, *moves[i].effect(dB))
	loud := func(b detect.Balance) float64 {
		sum := 0.0
		for f, v := range (&Track{Balance: b}).tone() {
			if f < subShare {
				sum += math.Pow(10, (v+weighting[f])/10)
			}
		}
		return 10 * math.Log10(sum)
	}
	return shaped(after, loud(b)-loud(after), everyLevel)
}
