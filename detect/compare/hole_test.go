package compare

import (
	"math"
	"slices"
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

// A band that is quiet in the fainter of two versions is quiet in the louder one, which is no
// difference between them.
func TestBandOver(t *testing.T) {
	for _, c := range []struct{ one, two, want []float64 }{
		{[]float64{-30, -31, -66, -80}, []float64{-39, -40, -75, -120}, []float64{9, 9, 9, 9}},
		{[]float64{-39, -40, -75, -120}, []float64{-30, -31, -66, -80}, []float64{-9, -9, -9, -9}},
		{[]float64{-30, -30, -30}, []float64{-39, -39, -75}, []float64{9, 9, 40}}, // a hole in one
		{[]float64{-90, -65}, []float64{-75, -120}, []float64{0, 5}},              // nothing in both at once
	} {
		if got := bandOver(c.one, c.two); !slices.Equal(got, c.want) {
			t.Errorf("%v over %v: %v, want %v", c.one, c.two, got, c.want)
		}
	}
}

// A track that fades in lies in its first seconds at the limit of what a band says.
func TestFadeIn(t *testing.T) {
	a := first().each(func(v float64) float64 { return v })
	for i := range 6 * rate { // 80 dB in six seconds
		g := float32(math.Pow(10, (-80+80*float64(i)/(6*rate))/20))
		for c := range a.x {
			a.x[c][i] *= g
		}
	}
	for _, dB := range []float64{-12, 12} {
		if r := held(t, a, a.louder(dB)); r.Kind != Gain || len(r.Differ) != 0 {
			t.Errorf("%g dB: %s, %+v", dB, r.Kind, r.Differ)
		}
	}
}

// Two channels are held against others by their mean; where that is next to nothing, as of opposite
// ones, by the first.
func TestMid(t *testing.T) {
	for _, c := range []struct{ left, right, want []float32 }{
		{[]float32{0.5, 0.25}, []float32{0.25, -0.75}, []float32{0.375, -0.25}},
		{[]float32{0.5, 0.25}, []float32{-0.5, -0.25}, []float32{0.5, 0.25}},
		{[]float32{1, -1}, []float32{-0.75, 0.75}, []float32{0.125, -0.125}}, // 18 dB down is some of it
		{[]float32{1, -1}, []float32{-0.875, 0.875}, []float32{1, -1}},       // 24 dB is too little
	} {
		if got := single(mid([][]float32{c.left, c.right})); !slices.Equal(got, c.want) {
			t.Errorf("%v and %v: %v, want %v", c.left, c.right, got, c.want)
		}
	}
}
