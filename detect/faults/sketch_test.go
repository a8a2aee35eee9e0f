package faults

import (
	"math/rand/v2"
	"testing"
)

// TestSketchesTellNoTwinsApart: two prints that are the same are never told apart by their
// sketches; and the fingerprints of random music are not asked for at all.
func TestSketchesTellNoTwinsApart(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 7))
	close := 0
	for range 4000 {
		a := randomPrint(rng)
		b := []byte(a)
		start := len("2.") + 3 + len(".VUVUVUVU.") // of the values
		for range rng.IntN(40) {                   // up to what still may be the same
			at := start + rng.IntN(printMax*features)
			if rng.IntN(2) == 0 {
				at = start + rng.IntN(sketchValues)
			}
			b[at] = printAlphabet[min(63, digit(b[at])+1+rng.IntN(4))]
		}
		if rng.IntN(3) == 0 { // another mean of one feature
			b[len("2.xyz.")+2*rng.IntN(features-1)+1] = printAlphabet[rng.IntN(64)]
		}
		p, _ := parsePrint(a)
		q, ok := parsePrint(string(b))
		if !ok {
			t.Fatalf("%s is no print", b)
		}
		x, y := NewSketch(a), NewSketch(string(b))
		if same := p.same(&q); same && (!x.maybe(&y) || !y.maybe(&x)) {
			t.Errorf("%s\nand %s\nare the same, their sketches are not", a, b)
		} else if same {
			close++
		}
	}
	if close < 500 {
		t.Errorf("only %d of 4000 pairs were the same", close)
	}
	sketches := make([]Sketch, 300)
	for i := range sketches {
		sketches[i] = NewSketch(randomPrint(rng))
	}
	asked := 0
	DuplicatesOf(len(sketches), func(i int) *Sketch { return &sketches[i] }, func(int) string { asked++; return "" })
	if asked > 0 {
		t.Errorf("%d fingerprints of %d were asked for", asked, len(sketches))
	}
}
