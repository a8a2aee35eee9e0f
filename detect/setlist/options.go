package setlist

import (
	"math"

	"dubgauge/detect/standout"
)

// Limits say from where on a step can stand out. The zero value stands for the defaults.
type Limits struct {
	LevelLU      float64 // 0: AudibleLevel
	LowEndDB     float64 // 0: AudibleLowEnd
	TempoPercent float64 // 0: AudibleTempo
	KeyNotes     float64 // notes of the scale that differ; 0: ClashingNotes
	Spreads      float64 // 0: DefaultSpreads
}

// The defaults of Limits.
const (
	// AudibleLevel in LU and AudibleLowEnd in dB are the differences that count when a track
	// is judged by itself; see package standout.
	AudibleLevel  = standout.AudibleLevel
	AudibleLowEnd = standout.AudibleLowEnd
	// ClashingNotes is how many notes of two scales differ in a clash: three of seven, of which
	// one is the third or the fifth of either key. Ours, after the circle of fifths.
	ClashingNotes = 3
	// DefaultSpreads is how many robust standard deviations of the set's steps are out of
	// the ordinary: of normally distributed steps 1.2 % lie further off.
	DefaultSpreads = 2.5
)

// AudibleTempo in percent is half a semitone (12-tone equal temperament): pitched by more
// without key lock, a track sounds nearer to another key than to its own.
//
//	100 (2^(0.5/12) - 1) = 2.93
var AudibleTempo = 100 * (math.Exp2(0.5/12) - 1)

// Options say how a set is checked. The zero value is the documented default.
type Options struct {
	Limits  Limits
	Weights Weights
	By      By // which parts are levelled; empty: ByLoudest
	// Baked keeps each trim to what its file has room for, up to CeilingDBTP: the trims are
	// to be written into files. At a mixer there is headroom for all of them.
	Baked       bool
	CeilingDBTP float64
	Aim         Aim
}

// Weights are what the parts of a step's cost count. The zero value stands for the defaults.
type Weights struct{ Tempo, Key, Level, LowEnd, Aim float64 }

// Aim is what tempo and level are to do over the set: 1 to rise, -1 to fall, 0 for nothing.
type Aim struct{ Tempo, Level int }

// Fixed keeps tracks to their places when an order is suggested.
type Fixed struct {
	// At has the place of each track that is kept, by its place in the given order.
	At map[int]int
}

// filled has the defaults where nothing is said.
func (o Options) filled() Options {
	l := &o.Limits
	for _, d := range []struct {
		v         *float64
		otherwise float64
	}{{&l.LevelLU, AudibleLevel}, {&l.LowEndDB, AudibleLowEnd}, {&l.TempoPercent, AudibleTempo}, {&l.KeyNotes, ClashingNotes}, {&l.Spreads, DefaultSpreads}} {
		if *d.v == 0 {
			*d.v = d.otherwise
		}
	}
	if o.Weights == (Weights{}) {
		o.Weights = DefaultWeights
	}
	if o.By == "" {
		o.By = ByLoudest
	}
	return o
}
