package key

import (
	"math"
	"strings"
	"testing"
)

// neighbours is written out by hand from the circle of fifths with its inner ring of relative
// minors and from the parallel keys, as W. Piston, "Harmony", has them (the chapters on
// tonality and on modulation: relative keys share a signature, parallel keys a tonic), with
// the spelling that this package uses: for each key its relative, its parallel, the key a fifth
// up, a fifth down, a semitone up and a semitone down. Every other key is distant.
const neighbours = `
C major:  A minor,  C minor,  G major,  F major,  C# major, B major
C# major: Bb minor, C# minor, Ab major, F# major, D major,  C major
D major:  B minor,  D minor,  A major,  G major,  Eb major, C# major
Eb major: C minor,  Eb minor, Bb major, Ab major, E major,  D major
E major:  C# minor, E minor,  B major,  A major,  F major,  Eb major
F major:  D minor,  F minor,  C major,  Bb major, F# major, E major
F# major: Eb minor, F# minor, C# major, B major,  G major,  F major
G major:  E minor,  G minor,  D major,  C major,  Ab major, F# major
Ab major: F minor,  Ab minor, Eb major, C# major, A major,  G major
A major:  F# minor, A minor,  E major,  D major,  Bb major, Ab major
Bb major: G minor,  Bb minor, F major,  Eb major, B major,  A major
B major:  Ab minor, B minor,  F# major, E major,  C major,  Bb major
C minor:  Eb major, C major,  G minor,  F minor,  C# minor, B minor
C# minor: E major,  C# major, Ab minor, F# minor, D minor,  C minor
D minor:  F major,  D major,  A minor,  G minor,  Eb minor, C# minor
Eb minor: F# major, Eb major, Bb minor, Ab minor, E minor,  D minor
E minor:  G major,  E major,  B minor,  A minor,  F minor,  Eb minor
F minor:  Ab major, F major,  C minor,  Bb minor, F# minor, E minor
F# minor: A major,  F# major, C# minor, B minor,  G minor,  F minor
G minor:  Bb major, G major,  D minor,  C minor,  Ab minor, F# minor
Ab minor: B major,  Ab major, Eb minor, C# minor, A minor,  G minor
A minor:  C major,  A major,  E minor,  D minor,  Bb minor, Ab minor
Bb minor: C# major, Bb major, F minor,  Eb minor, B minor,  A minor
B minor:  D major,  B major,  F# minor, E minor,  C minor,  Bb minor
`

// signs has the signature of each key, sharps counted up and flats down, from the same book.
var signs = map[string]int{
	"C major": 0, "G major": 1, "D major": 2, "A major": 3, "E major": 4, "B major": 5, "F# major": 6,
	"F major": -1, "Bb major": -2, "Eb major": -3, "Ab major": -4, "C# major": -5,
	"A minor": 0, "E minor": 1, "B minor": 2, "F# minor": 3, "C# minor": 4, "Ab minor": 5, "Eb minor": 6,
	"D minor": -1, "G minor": -2, "C minor": -3, "F minor": -4, "Bb minor": -5,
}

// scale are the notes of a key as pitch classes, by the letters of the scales (major, natural
// minor) as printed for C, moved.
func scale(k Key) map[int]bool {
	steps := []int{0, 2, 4, 5, 7, 9, 11}
	if k.Mode == Minor {
		steps = []int{0, 2, 3, 5, 7, 8, 10}
	}
	notes := map[int]bool{}
	for _, s := range steps {
		notes[(k.Tonic+s)%12] = true
	}
	return notes
}

func all24() (keys []Key) {
	for i := range 24 {
		keys = append(keys, Key{i % 12, Mode(i / 12)})
	}
	return keys
}

// TestRelateByTheTable: all 24 by 24.
func TestRelateByTheTable(t *testing.T) {
	want := map[[2]string]Relation{}
	order := []Relation{Relative, Parallel, FifthUp, FifthDown, Semitone, Semitone}
	for line := range strings.Lines(strings.TrimSpace(neighbours)) {
		from, rest, _ := strings.Cut(line, ":")
		want[[2]string{from, from}] = Same
		for i, to := range strings.Split(rest, ",") {
			want[[2]string{from, strings.TrimSpace(to)}] = order[i]
		}
	}
	if len(want) != 24*7 {
		t.Fatalf("%d pairs in the table, want 168", len(want))
	}
	for _, a := range all24() {
		for _, b := range all24() {
			r, ok := want[[2]string{a.String(), b.String()}]
			if !ok {
				r = Far
			}
			if got := Relate(a, b); got != r {
				t.Errorf("%v to %v: %q, want %q", a, b, got, r)
			}
		}
	}
}

// TestApart: how many notes two scales do not share, counted out, and by the signatures.
func TestApart(t *testing.T) {
	for _, a := range all24() {
		for _, b := range all24() {
			shared := 0
			for n := range scale(a) {
				if scale(b)[n] {
					shared++
				}
			}
			if got := Apart(a, b); got != 7-shared {
				t.Errorf("%v and %v: %d, but they share %d of 7 notes", a, b, got, shared)
			}
			d := int(math.Abs(float64(signs[a.String()] - signs[b.String()])))
			if d = min(d, 12-d, 5); Apart(a, b) != d {
				t.Errorf("%v and %v: %d, by their signatures %d", a, b, Apart(a, b), d)
			}
		}
	}
	if Apart(NoKey, Key{}) != -1 || Apart(Key{}, NoKey) != -1 {
		t.Error("a missing key has no distance")
	}
}

// TestPitched: A minor 6 % faster is a semitone higher and 0.9 cents (12 log2 1.06 = 1.00880).
func TestPitched(t *testing.T) {
	a := Key{9, Minor}
	for _, c := range []struct {
		semitones float64
		want      string
		cents     float64
	}{
		{12 * math.Log2(1.06), "Bb minor", 0.88}, {-12 * math.Log2(1.06), "Ab minor", -0.88}, {0.25, "A minor", 25},
		{-10, "B minor", 0}, {12, "A minor", 0}, {3.4, "C minor", 40}, {-1.6, "G minor", 40},
	} {
		to, cents := a.Pitched(c.semitones)
		if to.String() != c.want || math.Abs(cents-c.cents) > 0.005 {
			t.Errorf("%v semitones: %v and %.3f cents, want %s and %v", c.semitones, to, cents, c.want, c.cents)
		}
	}
	if to, _ := NoKey.Pitched(1); to.Exists() {
		t.Error("a missing key stays missing")
	}
}
