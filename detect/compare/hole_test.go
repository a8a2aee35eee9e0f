package compare

import (
	"math"
	"testing"
)

// Where one of two has a hole, or a dead side for a while, the rest tells what was done, and the
// list of where they differ tells the place.
func TestHole(t *testing.T) {
	a := first()
	for _, c := range []struct {
		name  string
		sides []int
		dB    float64
		kind  Kind
	}{{"both sides, 2 dB quieter", []int{0, 1}, -2, Gain}, {"one side", []int{1}, 0, Same}} {
		b := a.louder(c.dB)
		for _, side := range c.sides {
			clear(b.x[side][12*rate : 15*rate])
		}
		r := held(t, a, b)
		if r.Kind != c.kind || math.Abs(float64(r.GainDB)-c.dB) > 0.005 || math.Abs(float64(r.ReductionDB)) > 0.01 {
			t.Errorf("%s: %s, gain %v, reduction %v", c.name, r.Kind, r.GainDB, r.ReductionDB)
		}
		if len(r.Differ) != 1 || math.Abs(r.Differ[0].StartS-12) > 0.5 || math.Abs(r.Differ[0].EndS-15) > 1 {
			t.Errorf("%s: %+v", c.name, r.Differ)
		}
	}
}

// Who differs nearly everywhere is told by all there is.
func TestLeaveOut(t *testing.T) {
	m := match{plan: &plan{rateA: 100}}
	for at := range 10 {
		m.windows = append(m.windows, &pair{a: piece{first: int64(1000 * at)}})
	}
	only, most := Span{0, 100, "a", 0}, Span{0, 51, "both", 9}
	for _, c := range []struct {
		differ []Span
		left   int
	}{
		{nil, 10}, {[]Span{only}, 10}, {[]Span{most}, 10},
		{[]Span{{0, 38.9, "both", 9}}, 6}, {[]Span{{0, 39.1, "both", 9}}, 5},
		{[]Span{{61.7, 62, "both", 9}}, 9}, {[]Span{{61.8, 62, "both", 9}}, 10},
	} {
		n := m
		if n.leaveOut(c.differ); len(n.windows) != c.left {
			t.Errorf("%v: %d windows left, want %d", c.differ, len(n.windows), c.left)
		}
	}
}

// What only one has is told from half a second on.
func TestOnly(t *testing.T) {
	const half = frameRate / 2
	if got := only(nil, "a", 100, 100+half-1); got != nil {
		t.Errorf("less than half a second: %v", got)
	}
	if got := only(nil, "b", 100, 100+half); len(got) != 1 || got[0] != (Span{1, 1.5, "b", 0}) {
		t.Errorf("half a second: %v", got)
	}
}
