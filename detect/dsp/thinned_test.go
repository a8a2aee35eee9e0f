package dsp

import "testing"

// TestThinned: what is held of a list of numbers are whole stretches of it, from its
// beginning to its end, never more than was said, and each knows its place.
func TestThinned(t *testing.T) {
	const stretch, stretches = 10, 8
	for _, c := range []struct{ n, held, every int }{
		{0, 0, 1}, {7, 7, 1}, {80, 80, 1},
		{81, 41, 2}, {95, 50, 2}, {100, 50, 2}, {101, 51, 2},
		{160, 80, 2}, {161, 41, 4}, {175, 50, 4}, {199, 50, 4}, {201, 51, 4},
		{1000, 0, 16},
	} {
		l := NewThinned[int](stretch, stretches)
		for i := range c.n {
			l.Append(i)
			if l.Len() > stretch*stretches {
				t.Fatalf("%d values after %d", l.Len(), i+1)
			}
		}
		if l.every != c.every || c.n < 1000 && l.Len() != c.held {
			t.Errorf("%d numbers: %d held, one stretch of %d; want %d of %d", c.n, l.Len(), l.every, c.held, c.every)
		}
		for i := range l.Len() {
			want := i/stretch*stretch*c.every + i%stretch
			if *l.At(i) != want || l.Place(i) != want {
				t.Fatalf("%d numbers: value %d is %d, its place %d, want %d", c.n, i, *l.At(i), l.Place(i), want)
			}
		}
	}
}

// TestThinnedRuns: runs cover what was asked for, and in each the numbers follow each other.
func TestThinnedRuns(t *testing.T) {
	for _, c := range []struct{ n, from, to, runs int }{
		{80, 3, 77, 1}, {81, 3, 41, 5}, {81, 10, 20, 1}, {81, 19, 21, 2}, {81, 5, 5, 0},
	} {
		l := NewThinned[int](10, 7) // an even number: 8
		for i := range c.n {
			l.Append(i)
		}
		at, runs := c.from, 0
		for _, r := range l.Runs(c.from, c.to) {
			first, last := r[0], r[1]
			if first != at || last <= first {
				t.Errorf("%+v: a run from %d to %d, want it from %d", c, first, last, at)
			}
			for i := first + 1; i < last; i++ {
				if *l.At(i) != *l.At(i - 1)+1 {
					t.Errorf("%+v: %d follows %d", c, *l.At(i), *l.At(i - 1))
				}
			}
			at, runs = last, runs+1
		}
		if at != c.to || runs != c.runs {
			t.Errorf("%+v: %d runs up to %d", c, runs, at)
		}
	}
	l := NewThinned[int](10, 2)
	for i := range 50 {
		l.Append(i)
	}
	l.Clear()
	if l.Append(7); l.Len() != 1 || *l.At(0) != 7 || l.Place(0) != 0 {
		t.Errorf("cleared: %d values, the first %d at %d", l.Len(), *l.At(0), l.Place(0))
	}
}
