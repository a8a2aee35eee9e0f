package words

import "dubgauge/detect/key"

// relations are those between keys in the words of music theory; keys that have
// nothing to do with each other are just that, however far.
var relations = map[key.Relation]string{
	key.Same: "same key", key.Relative: "relative key", key.FifthUp: "a fifth up", key.FifthDown: "a fifth down",
	key.Parallel: "parallel key", key.Semitone: "another key", key.Far: "another key",
}

// Relation says how one key stands to another; empty when either is not known.
func Relation(r key.Relation) string { return relations[r] }
