package key

import "math"

// Relation says in music-theory words how one key stands to another.
type Relation string

// The relations, in the order in which they are tried: each pair of keys has
// exactly one. Same, Relative, Parallel, Semitone and Far are symmetric;
// FifthUp and FifthDown are each other's reverse.
const (
	// Same tonic and mode.
	Same Relation = "same"
	// Relative keys share all notes: C major and A minor.
	Relative Relation = "relative"
	// FifthUp is the same mode a fifth higher: C major to G major. One note of
	// the scale changes.
	FifthUp Relation = "fifth up"
	// FifthDown is the same mode a fifth lower: C major to F major.
	FifthDown Relation = "fifth down"
	// Parallel keys share the tonic but not the mode: C major and C minor.
	Parallel Relation = "parallel"
	// Semitone is the same mode one semitone higher or lower: C major and Db
	// major. Close in pitch, far in harmony; playing one of the tracks
	// some 6 % faster or slower makes the keys the same.
	Semitone Relation = "semitone"
	// Far is everything else.
	Far Relation = "far"
	// Unknown is the relation to a track without a key.
	Unknown Relation = ""
)

// semitones of the intervals that relations are made of.
const (
	fifth      = 7
	minorThird = 3
)

// Relate says how b stands to a: Relate(C major, G major) is FifthUp.
func Relate(a, b Key) Relation {
	if !a.Exists() || !b.Exists() {
		return Unknown
	}
	up := (b.Tonic - a.Tonic + 12) % 12
	if a.Mode != b.Mode {
		return relateAcrossModes(a.Mode, up)
	}
	switch up {
	case 0:
		return Same
	case fifth:
		return FifthUp
	case 12 - fifth:
		return FifthDown
	case 1, 11:
		return Semitone
	}
	return Far
}

// relateAcrossModes relates a key of the given mode to one of the other mode
// whose tonic lies up semitones higher.
func relateAcrossModes(from Mode, up int) Relation {
	relative := 12 - minorThird
	if from == Minor {
		relative = minorThird
	}
	switch up {
	case 0:
		return Parallel
	case relative:
		return Relative
	}
	return Far
}

// Transposed is k so many semitones higher; a missing key stays missing.
func (k Key) Transposed(semitones int) Key {
	if !k.Exists() {
		return k
	}
	return Key{Tonic: ((k.Tonic+semitones)%12 + 12) % 12, Mode: k.Mode}
}

// Pitched is k played by so many semitones higher, to the nearest key, and by how many cents
// above that, from -50 to 50.
func (k Key) Pitched(semitones float64) (to Key, cents float64) {
	whole := math.RoundToEven(semitones)
	return k.Transposed(int(math.Mod(whole, 12))), 100 * (semitones - whole)
}

// Apart is how many notes the scales of two keys do not share, 0 to 5 of 7: by how many fifths
// their signatures differ, those a tritone apart sharing two notes like those five fifths
// apart. Minor is the natural minor. -1 when either is missing.
func Apart(a, b Key) int {
	if !a.Exists() || !b.Exists() {
		return -1
	}
	up := (b.signature() - a.signature() + 12) % 12
	return min(up, 12-up, 5)
}

// signature is the place on the circle of fifths, C major and A minor being 0.
func (k Key) signature() int {
	tonic := k.Tonic
	if k.Mode == Minor {
		tonic += minorThird
	}
	return tonic * fifth % 12
}
