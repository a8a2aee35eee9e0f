package dsp

import "testing"

// TestLong: what was appended is there, wherever blocks end, and room that is not needed
// is let go of.
func TestLong(t *testing.T) {
	var l Long[int]
	if l.Len() != 0 || l.Cap() != 0 {
		t.Errorf("%d values in room for %d", l.Len(), l.Cap())
	}
	const n = 3*longBlock + 5
	for i := range n {
		l.Append(i * i)
		if l.Len() != i+1 || *l.At(i) != i*i {
			t.Fatalf("value %d of %d is %d", i, l.Len(), *l.At(i))
		}
	}
	*l.At(longBlock) = -1
	if l.Cap() != 4*longBlock || *l.At(longBlock) != -1 || *l.At(longBlock - 1) != (longBlock-1)*(longBlock-1) {
		t.Errorf("room for %d, values %d and %d", l.Cap(), *l.At(longBlock), *l.At(longBlock - 1))
	}
	for _, c := range [][2]int{{2*longBlock + 1, 3}, {2 * longBlock, 2}, {1, 1}, {0, 0}} {
		if l.Cut(c[0]); l.Len() != c[0] || l.Cap() != c[1]*longBlock {
			t.Errorf("cut to %d: %d values in room for %d", c[0], l.Len(), l.Cap())
		}
	}
	if l.Append(7); l.Len() != 1 || *l.At(0) != 7 {
		t.Errorf("%d values, the first %d", l.Len(), *l.At(0))
	}
}
