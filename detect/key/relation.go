package key

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
