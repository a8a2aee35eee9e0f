// Package reason holds all that is said of a track: the reasons for its verdict as
// short codes, how grave each is, and the sentences, each of which says what it is, by
// how much, against what, and what to do. So that the user is spoken to in one voice,
// all of it can be read here:
//
//   - fault.go: the faults, their effect on a big system and the remedy,
//   - problem.go: files that could not be read, or not wholly,
//   - deviation.go: what lies off the references,
//   - tone.go: what lies off in the balance of the parts of the spectrum,
//   - trim.go: what to do about the level,
//   - advice.go, width.go, bottom.go: what to change in a master.
//
// It imports nothing of the program: figures go in, words come out. Units are those of
// the measurement record: dB, LU, LUFS, dBTP, seconds, percent.
package reason

// Severity says what a reason does to the verdict. The worst one decides.
type Severity int

const (
	// Note is said and changes nothing.
	Note Severity = iota
	// Check makes the verdict "check" at best.
	Check
	// HoldBack is for what a big system will show: the verdict is "hold back".
	HoldBack
)
