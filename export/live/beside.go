package live

import (
	"cmp"
	"fmt"
	"math"
	"strings"

	"dubgauge/detect"
	"dubgauge/detect/key"
	"dubgauge/export/words"
	"dubgauge/library"
)

// unknownTempo is what a tempo that is not known counts for when references are
// put in order, in percent of tempo. Our judgement, no source.
const unknownTempo = 20.0

// keyWeights say how much a key that fits badly weighs, in percent of tempo. Our
// judgement, no source.
var keyWeights = map[key.Relation]float64{
	key.Same: 0, key.Relative: 0.5, key.FifthUp: 1, key.FifthDown: 1, key.Parallel: 1.5,
	key.Semitone: 4, key.Far: 4, key.Unknown: 3,
}

// distance says how far r is from being mixed with t, 0 being nearest.
func distance(t, r *library.Track) float64 {
	d := unknownTempo
	if p := tempoOff(t, r); p.Exists() {
		d = math.Abs(float64(p))
	}
	return d + keyWeights[relation(t, r)]
}

// tempoOff is how much faster r is than t in percent, octaves folded.
func tempoOff(t, r *library.Track) detect.Value {
	a, b := float64(words.Tempo(t)), float64(words.Tempo(r))
	if !(a > 0) || !(b > 0) {
		return detect.None
	}
	octaves := math.Log2(b / a)
	return detect.Value((math.Exp2(octaves-math.Round(octaves)) - 1) * 100)
}

// relation says how the key of r stands to that of t.
func relation(t, r *library.Track) key.Relation { return key.Relate(keyOf(t), keyOf(r)) }

// keyOf is the measured key, key.NoKey without one.
func keyOf(t *library.Track) key.Key {
	k, err := key.Parse(words.KeyName(t))
	if err != nil {
		return key.NoKey
	}
	return k
}

// besideWords names a reference to choose.
func besideWords(t, r *library.Track) string {
	var parts []string
	if v := words.Tempo(r); v.Exists() {
		s := words.Page.Number(v, 1) + " BPM"
		if off := tempoOff(t, r); off.Exists() {
			s += fmt.Sprintf(" (%s %%)", cmp.Or(words.Page.Signed(off, 1), "0.0"))
		}
		parts = append(parts, s)
	}
	if k := words.Clean(words.KeyName(r)); k != "" {
		if how := words.Relation(relation(t, r)); how != "" {
			k += ", " + how
		}
		parts = append(parts, k)
	}
	if len(parts) == 0 {
		return words.Name(r)
	}
	return words.Name(r) + ": " + strings.Join(parts, ", ")
}
