package reason

import (
	"regexp"
	"strconv"
	"testing"
)

// advised finds the decibels of an advice: behind "by about", or with a sign before
// "dB," of a filter.
var advised = regexp.MustCompile(`by about ([0-9.]+) dB|, [+-]([0-9.]+) dB, puts it about right|^[+-]([0-9.]+) dB at the mixer|takes ([0-9.]+) dB of limiting`)

// TestAdviceHasABound: whatever a track's figures are, nobody is told to turn anything by
// more than MaxAdvice.
func TestAdviceHasABound(t *testing.T) {
	var said []string
	for off := -80.0; off <= 80; off += 0.1 {
		for code := range sentences {
			for _, basis := range []Basis{BasisNamed, BasisLike, BasisReleased, BasisFixed} {
				said = append(said, Deviation{Code: code, Value: off, Off: off, Against: Group{Basis: basis, Tracks: 2, Usual: true}, Trim: Trim{Wanted: -off, Limiting: max(0, -off), P95: max(0, -off)}}.Sentence())
			}
		}
		for code := range tones {
			said = append(said, Tone{Code: code, Off: off, Filter: Bell, Hz: 300, Against: Group{Basis: BasisLike, Tracks: 9}}.Sentence())
		}
		said = append(said, Trim{Wanted: off, Limiting: max(0, off), P95: max(0, off)}.Sentence())
	}
	found := 0
	for _, s := range said {
		for _, m := range advised.FindAllStringSubmatch(s, -1) {
			for _, figure := range m[1:] {
				if figure == "" {
					continue
				}
				found++
				if dB, err := strconv.ParseFloat(figure, 64); err != nil || dB > MaxAdvice {
					t.Fatalf("%q", s)
				}
			}
		}
	}
	if found < 1000 {
		t.Errorf("%d advices were found", found)
	}
}
