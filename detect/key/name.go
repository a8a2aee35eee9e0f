package key

import (
	"fmt"
	"strings"
)

// Mode tells major from minor.
type Mode int

// The modes. Music in other modes is reported as the one that it is nearest
// to: the third decides.
const (
	Major Mode = iota
	Minor
)

// String gives "major" or "minor".
func (m Mode) String() string {
	if m == Minor {
		return "minor"
	}
	return "major"
}

// Key is a tonic with a mode.
type Key struct {
	Tonic int // semitones above C, 0 to 11; None stands for no key
	Mode  Mode
}

// None is the Tonic of music without a key.
const None = -1

// NoKey is what music without a key has.
var NoKey = Key{Tonic: None}

// Exists tells whether k is a key, not the lack of one.
func (k Key) Exists() bool { return k.Tonic >= 0 && k.Tonic < 12 }

// String writes the key as musicians do, "A minor", "F# major"; the empty
// string when there is none.
func (k Key) String() string {
	if !k.Exists() {
		return ""
	}
	return TonicName(k.Tonic) + " " + k.Mode.String()
}

// TonicName spells a pitch class (semitones above C, 0 to 11) with the
// accidental that is more common in key names; the empty string for any other number.
func TonicName(tonic int) string {
	if tonic < 0 || tonic > 11 {
		return ""
	}
	return [12]string{"C", "C#", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"}[tonic]
}

// letterPitch is each note letter's pitch class in semitones above C.
var letterPitch = map[byte]int{'c': 0, 'd': 2, 'e': 4, 'f': 5, 'g': 7, 'a': 9, 'b': 11}

// modeWords are what stands behind the tonic in tags, without spaces, and what
// it means. "M" and "m" differ only by case and are looked up before folding.
var modeWords = map[string]Mode{
	"": Major, "maj": Major, "major": Major,
	"min": Minor, "minor": Minor,
}

// Parse reads a key as musicians write it into tags: "Am", "F#m", "Bb",
// "a minor", "Gb major", "C♯ min". A lower-case letter alone is a minor key, as
// in printed music ("a" is A minor); with a mode behind it, its case says
// nothing. An accidental is one of # b ♯ ♭, or the words "sharp" and "flat".
// German names are refused, as their B is our Bb, and so are codes of digits.
func Parse(s string) (Key, error) {
	t := strings.TrimSpace(s)
	fail := func() (Key, error) {
		return NoKey, fmt.Errorf("%q is no key name: write it like A minor, F#m or Bb", s)
	}
	if t == "" {
		return fail()
	}
	tonic, known := letterPitch[t[0]|0x20]
	if !known {
		return fail()
	}
	lower := t[0] >= 'a'
	shift, rest := accidental(t[1:])
	tonic = (tonic + shift + 12) % 12
	mode, known := parseMode(rest)
	if !known {
		return fail()
	}
	if lower && rest == "" {
		mode = Minor
	}
	return Key{Tonic: tonic, Mode: mode}, nil
}

// accidental reads a sharp or flat off the front of s and gives its shift in
// semitones and what follows, without spaces around it.
func accidental(s string) (shift int, rest string) {
	s = strings.Trim(s, " \t-_")
	for _, a := range []struct {
		text  string
		shift int
	}{{"#", 1}, {"♯", 1}, {"sharp", 1}, {"♭", -1}, {"flat", -1}, {"b", -1}} {
		if len(s) >= len(a.text) && strings.EqualFold(s[:len(a.text)], a.text) {
			return a.shift, strings.Trim(s[len(a.text):], " \t-_")
		}
	}
	return 0, s
}

// parseMode reads what stands behind the tonic.
func parseMode(s string) (m Mode, known bool) {
	switch s {
	case "M":
		return Major, true
	case "m":
		return Minor, true
	}
	m, known = modeWords[strings.TrimRight(strings.ToLower(s), ".")]
	return m, known
}
