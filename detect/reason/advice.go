package reason

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Advised is a filter that brings a part of the spectrum back among the references.
type Advised struct {
	Filter Filter
	Hz     float64
	DB     float64 // what to dial in
	Q      float64 // of a bell
	Off    float64 // how far the track lies off there, dB
	// Above: what lies above a low shelf is off, and not what lies below it.
	Above bool
	// ByEar: records of the kind differ by as much.
	ByEar bool
}

// Harsh narrow peaks: a bell that is this narrow, in the range where the ear is keenest
// (3 kHz by the equal-loudness contours of ISO 226:2023), is a resonance.
const (
	resonanceQ               = 3.0
	resonanceFrom, resonance = 1500.0, 9000.0 // Hz
)

// Sentence says where, how far off, and what to dial in.
func (a Advised) Sentence() string {
	side := "under"
	if a.Off > 0 {
		side = "over"
	}
	off := size(a.Off)
	switch {
	case tenth(math.Abs(a.Off)) > MaxAdvice:
		return fmt.Sprintf("%s you are more than %.0f dB %s your references: %s.", Capital(a.part()), MaxAdvice, side, notForEQ)
	case a.Above:
		return fmt.Sprintf("%s you are %s dB %s your references once levels match, but not in the file: the bottom is as strong as theirs, "+
			"what lies above it is %s: %s.", Capital(a.part()), off, side, louder(-a.Off),
			Advised{Filter: HighShelf, Hz: a.Hz, DB: -a.DB}.Setting())
	case a.Filter == Bell && a.DB < 0 && a.Q >= resonanceQ && a.Hz >= resonanceFrom && a.Hz <= resonance:
		return fmt.Sprintf("A narrow peak near %s is %s dB over your references, which sounds harsh: %s; sweep it for the exact place.",
			hertz(round2(a.Hz)), off, a.Setting())
	}
	return fmt.Sprintf("%s you are %s dB %s your references: %s%s.", Capital(a.part()), off, side, a.Setting(), a.doubt())
}

// doubt follows a setting that is a matter of taste.
func (a Advised) doubt() string {
	if a.ByEar {
		return ", by ear, as one such record in ten lies as far off"
	}
	return ""
}

func louder(dB float64) string {
	if dB > 0 {
		return "too loud"
	}
	return "too quiet"
}

// part names where the filter acts.
func (a Advised) part() string {
	switch a.Filter {
	case LowShelf:
		return "below " + hertz(round2(a.Hz))
	case HighShelf:
		return "above " + hertz(round2(a.Hz))
	}
	return "around " + hertz(round2(a.Hz))
}

// Setting is what to dial in.
func (a Advised) Setting() string {
	if a.Filter == Bell {
		return fmt.Sprintf("bell at %s, Q %.1f, %+.1f dB", hertz(round2(a.Hz)), a.Q, tenth(a.DB))
	}
	return fmt.Sprintf("%s at %s, %+.1f dB", [...]string{"low shelf", "high shelf"}[a.Filter], hertz(round2(a.Hz)), tenth(a.DB))
}

// round2 rounds to two significant digits, as finely as a knob is set.
func round2(hz float64) float64 {
	if !(hz > 0) {
		return hz
	}
	step := math.Pow(10, math.Floor(math.Log10(hz))-1)
	return math.Round(hz/step) * step
}

// Outside is a run of bands that all moves leave outside of what is normal, and the most
// by which it is, dB.
type Outside struct{ From, To, Off float64 }

// Remains says what is still outside behind the moves; empty for nothing. passed tells that a
// verdict has named nothing of it.
func Remains(rest []Outside, passed bool) string {
	if len(rest) == 0 {
		return ""
	}
	var parts []string
	for _, r := range rest {
		part := nominal(r.From)
		if r.To != r.From {
			part += " to " + nominal(r.To)
		}
		side := "under"
		if r.Off > 0 {
			side = "over"
		}
		parts = append(parts, fmt.Sprintf("%s, up to %s dB %s", part, size(r.Off), side))
	}
	if passed {
		return "Outside the range of your references, as single records are: " + strings.Join(parts, "; ") + "."
	}
	return "Still outside the range of your references: " + strings.Join(parts, "; ") + "."
}

// nominal names a third octave.
func nominal(hz float64) string {
	if hz >= 1000 {
		return strconv.FormatFloat(hz/1000, 'f', -1, 64) + " kHz"
	}
	return strconv.FormatFloat(hz, 'f', -1, 64) + " Hz"
}

// What is said where there is no move.
const (
	NoMoves = "No broad part of the spectrum lies outside the range of your references: leave the equaliser alone."
	// NoMovesButRest goes before what remains.
	NoMovesButRest = "No equaliser move is worth it."
	// ToTaste goes before moves where the verdict has passed the balance.
	ToTaste = "The verdict asks for none of this. To taste, towards the middle of your references:"
	// NotEqualiser is all that is said where the verdict asks a question instead.
	NotEqualiser = "What is named above is more than an equaliser mends."
	// NoneAlike is said of a track that no reference is like.
	NoneAlike = "None: few records like this one, so it is not held against the spectrum of others."
	// Finer goes before moves where a verdict has named a filter.
	Finer = "What is named above, as an equaliser would do it best:"
)

// TooFewToAdvise says that so many references have no range.
func TooFewToAdvise(references, needed int) string {
	return fmt.Sprintf("None: %s to hold its spectrum against, and it takes %d.", Counted(references, "reference"), needed)
}

// MoveCaution ends advice.
func MoveCaution(references int, few bool) string {
	if few {
		return fmt.Sprintf("By %s, which are few: trust your ears over it.", Counted(references, "reference"))
	}
	return fmt.Sprintf("By %s.", Counted(references, "reference"))
}
