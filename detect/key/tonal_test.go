package key

import "testing"

// soundingAlike are n pitch classes of which the first whole ones sound alike, the last as much
// as is left of n.
func soundingAlike(n float64) (c chroma) {
	for i := range c {
		c[i] = max(0, min(1, n-float64(i)))
	}
	return c
}

// A track has a key where each figure reaches its bound: four pitch classes are enough, three
// are not; 11.53 (eleven alike and a twelfth of a fifth of them, by the entropy) only where they
// fit a key well, twelve never.
func TestTonal(t *testing.T) {
	has := func(change func(*evidence)) bool {
		e := evidence{density: 1.25, clear: 1.2, focus: 0.05, fit: 0.32} // as the package has them
		e.part.all = soundingAlike(7)
		change(&e)
		return e.tonal()
	}
	for _, c := range []struct {
		name   string
		change func(*evidence)
		want   bool
	}{
		{"at each bound", func(*evidence) {}, true},
		{"thin", func(e *evidence) { e.density -= 0.01 }, false},
		{"no clear peaks", func(e *evidence) { e.clear -= 0.01 }, false},
		{"no tuning", func(e *evidence) { e.focus -= 0.001 }, false},
		{"no key fits", func(e *evidence) { e.fit -= 0.01 }, false},
		{"four classes and a little", func(e *evidence) { e.part.all = soundingAlike(4.01) }, true},
		{"three and a half", func(e *evidence) { e.part.all = soundingAlike(3.5) }, false},
		{"eleven", func(e *evidence) { e.part.all = soundingAlike(11) }, true},
		{"eleven and a half", func(e *evidence) { e.part.all = soundingAlike(11.2) }, false},
		{"the same, a key that fits", func(e *evidence) { e.part.all, e.fit = soundingAlike(11.2), 0.49 }, false},
		{"the same, a key that fits well", func(e *evidence) { e.part.all, e.fit = soundingAlike(11.2), 0.5 }, true},
		{"twelve", func(e *evidence) { e.part.all, e.fit = soundingAlike(12), 1 }, false},
	} {
		if got := has(c.change); got != c.want {
			t.Errorf("%s: %v", c.name, got)
		}
	}
}
