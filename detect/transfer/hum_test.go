package transfer

import (
	"math"
	"math/cmplx"
	"testing"
)

// series are lines whose phases advance as the multiples of a frequency that lies off
// hertz from the mains do, with the given coherence.
func series(off, coherent, hop float64) []mainsLine {
	lines := make([]mainsLine, harmonics)
	for h := range lines {
		lines[h] = mainsLine{level: -50, coherent: coherent, advance: cmplx.Rect(coherent, 2*math.Pi*float64(h+1)*off*hop)}
	}
	return lines
}

// Expected: by its formula, together is the coherence of lines that are multiples of one
// frequency, at the offset that they have; of lines turned against each other it is less.
func TestTogether(t *testing.T) {
	const hop = 0.37
	for _, off := range []float64{-0.1, 0, 0.16} {
		got, at := together(series(off, 0.6, hop), hop)
		if math.Abs(got-0.6) > 1e-3 || math.Abs(at-off) > 1e-9 {
			t.Errorf("a series %g Hz off: %.3f at %.3f Hz", off, got, at)
		}
	}
	mixed := series(0, 0.6, hop)
	for h := range mixed {
		mixed[h].advance *= cmplx.Rect(1, float64(h*h)*2)
	}
	if got, _ := together(mixed, hop); got > 0.4 {
		t.Errorf("lines that don't belong together: %.3f", got)
	}
	if got, _ := together(nil, hop); got >= 0 {
		t.Errorf("no lines: %.3f", got)
	}
}

// Expected: five lines of -50 dBFS with a coherence of 0.6 have a coherent part of
// -50 + 20 log 0.6 + 10 log 5 = -47.4 dBFS.
func TestHolding(t *testing.T) {
	const hop = 0.37
	h, ok := holding(series(0.1, 0.6, hop), 50, hop)
	if !ok || math.Abs(h.level+47.45) > 0.01 || math.Abs(h.hz-50.1) > 1e-9 || h.lines != harmonics {
		t.Errorf("a steady series: %+v, %v", h, ok)
	}
	for name, lines := range map[string][]mainsLine{
		"hardly coherent":       series(0.1, humTogether-0.01, hop),
		"a note beside":         series(0.19, 0.6, hop),
		"a note on other side":  series(-0.19, 0.6, hop),
		"half a hertz and more": series(-0.6, 0.6, hop),
	} {
		if h, ok := holding(lines, 50, hop); ok {
			t.Errorf("%s: %+v", name, h)
		}
	}
	stops := series(0, 0.6, hop)
	for i := range 3 {
		stops[i].falls = humFalls + 1
	}
	if h, ok := holding(stops, 50, hop); ok || h.lines != 2 {
		t.Errorf("three lines that stop: %+v, %v", h, ok)
	}
	stops[0].falls = 0
	if _, ok := holding(stops, 50, hop); !ok {
		t.Error("three lines that never stop are not found")
	}
}
