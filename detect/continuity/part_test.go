package continuity

import (
	"math"
	"testing"
)

// still is a track of so many blocks whose channels are alike.
func still(n int) []weigh {
	ws := make([]weigh, n)
	for i := range ws {
		ws[i] = weigh{heard: true, speaks: true, lowC: 1, corr: 0.5}
	}
	return ws
}

// gained adds to the balance of all bands from one block to another.
func louder(ws []weigh, from, to int, low, rest, top float64) []weigh {
	for i := from; i < to; i++ {
		ws[i].low += low
		ws[i].rest += rest
		ws[i].top += top
	}
	return ws
}

// swinging lets the low end of every other block lie off.
func swinging(ws []weigh, db float64) []weigh {
	for i := range ws {
		ws[i].low += db * float64(2*(i%2)-1)
	}
	return ws
}

// mute takes the low end out of some blocks.
func mute(ws []weigh, from, to int) []weigh {
	for i := from; i < to; i++ {
		ws[i].speaks = false
	}
	return ws
}

// unheard takes all out of some blocks.
func unheard(ws []weigh, from, to int) []weigh {
	for i := from; i < to; i++ {
		ws[i].heard = false
	}
	return ws
}

// A gain for a part steps all bands, or at least a low end that lies still, and back.
func TestParts(t *testing.T) {
	for _, tt := range []struct {
		name string
		ws   []weigh
		want float64 // dB, 0 for none
	}{
		{"nothing", still(120), 0},
		{"3 dB in all bands", louder(still(120), 40, 70, 3, 3, 3), 3},
		{"the other way", louder(still(120), 40, 70, -2.2, -2.2, -2.2), 2.2},
		{"1.9 dB", louder(still(120), 40, 70, 1.9, 1.9, 1.9), 0},
		{"for 2 s", louder(still(120), 40, 48, 3, 3, 3), 0},
		{"for 70 % of the track", louder(still(120), 20, 104, 3, 3, 3), 0},
		{"without the rest, that goes the other way", louder(still(120), 40, 70, 3, -3, 0), 3},
		{"of the rest alone", louder(still(120), 40, 70, 0, 3, 3), 0},
		{"of a low end that swings", swinging(louder(still(120), 40, 70, 3, 3, 3), 0.6), 3},
		{"of a low end that swings, without the rest", swinging(louder(still(120), 40, 70, 3, -3, 0), 0.6), 0},
		{"of a low end that swings, the rest by 1 dB more", swinging(louder(still(120), 40, 70, 3, 4, 4), 0.6), 3.5},
		{"with a low end of six blocks beside, without the rest", mute(mute(louder(still(120), 40, 70, 3, -3, 0), 16, 35), 76, 94), 0},
		{"with a low end that is 3 s away", mute(mute(louder(still(120), 40, 70, 3, 3, 3), 28, 41), 58, 82), 3},
		{"that goes back by half", louder(louder(still(120), 40, 70, 3, 3, 3), 70, 120, 1.5, 1.5, 1.5), 0},
		{"that goes on", louder(louder(still(120), 40, 120, 3, 3, 3), 70, 120, 3, 3, 3), 0},
	} {
		m := New(testRate, 2)
		got := m.parts(tt.ws)
		switch {
		case tt.want == 0 && len(got) > 0:
			t.Errorf("%s: %+v", tt.name, got)
		case tt.want != 0 && (len(got) != 1 || math.Abs(got[0].Figure-tt.want) > 0.4 || math.Abs(got[0].At-40*m.blocks.seconds) > 0.6 || math.Abs(got[0].Until-70*m.blocks.seconds) > 0.6):
			t.Errorf("%s: %+v, want %.1f dB", tt.name, got, tt.want)
		}
	}
}

// Two steps belong together only where what lies between them is off by as much.
func TestClosing(t *testing.T) {
	for _, tt := range []struct {
		name string
		ws   []weigh
		want int
	}{
		{"off", louder(still(120), 41, 70, 3, 3, 3), 1},
		{"not off", still(120), -1},
		{"no low end", mute(louder(still(120), 41, 70, 3, 3, 3), 41, 70), 1},
		{"no low end, the rest not off", mute(louder(still(120), 41, 70, 3, 0, 3), 41, 70), -1},
		{"nothing heard", unheard(louder(still(120), 41, 70, 3, 3, 3), 41, 70), -1},
		{"most of the track", louder(still(74), 21, 70, 3, 3, 3), -1},
	} {
		from := 40
		if len(tt.ws) < 100 {
			from = 20
		}
		if got := closing(tt.ws, []step{{at: from, db: 3}, {at: 70, db: -3}}, 0, 0); got != tt.want {
			t.Errorf("%s: %d, want %d", tt.name, got, tt.want)
		}
	}
}

// A channel that turns upside down turns the correlation of the low end, and of the rest,
// into its opposite.
func TestFlips(t *testing.T) {
	turned := func(ws []weigh, from, to int, low, rest float64) []weigh {
		for i := from; i < to; i++ {
			ws[i].lowC *= low
			ws[i].corr *= rest
		}
		return ws
	}
	for _, tt := range []struct {
		name string
		ws   []weigh
		want bool
	}{
		{"nothing", still(120), false},
		{"all", turned(still(120), 40, 70, -1, -1), true},
		{"the low end alone, that is antiphase by design", turned(still(120), 40, 70, -1, 1), false},
		{"a low end that is wide", turned(turned(still(120), 0, 120, 0.5, 1), 40, 70, -1, -1), false},
		{"up to a place, with a wide rest", turned(turned(still(120), 0, 120, 1, 0), 0, 40, -1, 1), false},
		{"for half a second", turned(still(120), 40, 42, -1, -1), false},
		{"the whole track", turned(still(120), 0, 120, -1, -1), false},
		{"all, with no low end that speaks", mute(turned(still(120), 40, 70, -1, -1), 0, 120), true},
		{"no low end, by another amount", mute(turned(turned(still(120), 0, 120, 1, 1.3), 40, 70, -1, -0.5), 0, 120), false},
		{"no low end, in wide music", mute(turned(turned(still(120), 0, 120, 1, 0.7), 40, 70, -1, -1), 0, 120), false},
		{"no low end, other music", mute(levelled(turned(still(120), 40, 70, -1, -1), 40, 70, levels{-5, -5, -5}, levels{-5, -5, -5}, 0), 0, 120), false},
	} {
		m := New(testRate, 2)
		if got := m.flips(tt.ws); len(got) > 1 || len(got) == 1 != tt.want {
			t.Errorf("%s: %+v", tt.name, got)
		}
	}
}

// The figures of a block follow from its powers.
func TestWeigh(t *testing.T) {
	b := block{power: [2]float32{0.3, 0.12}, low: [2]float32{0.2, 0.1}, slope: [2]float32{0.01, 0.02}, cross: 0.15, lowCross: 0.14}
	w := b.weigh()
	for i, c := range []struct{ got, want float64 }{
		{w.low, 3.0103}, {w.rest, 6.9897}, {w.top, -3.0103}, // 10 lg of 2, 5, 1/2
		{w.lowC, 0.14 / math.Sqrt(0.02)}, {w.corr, 0.01 / math.Sqrt(0.1*0.02)},
	} {
		if math.Abs(c.got-c.want) > 1e-4 {
			t.Errorf("figure %d: %g, want %g", i, c.got, c.want)
		}
	}
	if !w.heard || !w.speaks {
		t.Errorf("%+v", w)
	}
	if b.lowCross = 0.1; b.weigh().speaks {
		t.Error("a low end of two sources speaks")
	}
}

// Bands step together where none is off by more than three of its own deviations and 0.7 dB,
// and their mean is 2 dB and sure to four.
func TestCommon(t *testing.T) {
	for _, tt := range []struct {
		name  string
		bands []band
		want  float64
	}{
		{"alike", []band{{3, 0.1}, {3, 0.1}, {3, 0.1}}, 3},
		{"weighed by how sure they are", []band{{2, 0.1}, {3.5, 0.2}}, 2.5},
		{"too small", []band{{1.9, 0.1}, {1.9, 0.1}}, 0},
		{"not sure", []band{{3, 1.2}, {3, 1.2}}, 0},
		{"sure enough", []band{{3, 1.1}, {3, 1.1}}, 3},
		{"one is off by 1.1 dB of 1.18", []band{{4.1, 0.1}, {3, 1e-6}}, 3},
		{"one is off by 1.25 dB", []band{{4.25, 0.1}, {3, 1e-6}}, 0},
		{"one against the others", []band{{4, 0.1}, {4, 0.1}, {-1, 0.1}}, 0},
	} {
		if got := common(tt.bands); math.Abs(got-tt.want) > 0.01 {
			t.Errorf("%s: %.2f dB, want %.2f", tt.name, got, tt.want)
		}
	}
}

// The step of a band is the difference of the means, its variance that of the blocks and
// a floor, over their numbers.
func TestBandStep(t *testing.T) {
	sides := [2][]weigh{{{low: 1}, {low: 3}}, {{low: 7}, {low: 7}, {low: 7}, {low: 7}}}
	if got := bandStep(sides, lowOf, 0.7); math.Abs(got.db-5) > 1e-9 || math.Abs(got.variance-(1.49/2+0.49/4)) > 1e-9 {
		t.Errorf("%+v", got)
	}
	ws := still(40)
	ws[13].low, ws[13].rest = 5, 5
	s := stepAt(louder(ws, 21, 40, 3, 3, 3), 20)
	if math.Abs(s.db-3) > 0.4 || s.solid || !s.low {
		t.Errorf("%+v", s)
	}
	// Of 8 blocks a side: 0.2^2/4 and 0.7^2/4 are the variances of bands that lie still.
	swing := swinging(still(40), 0.6)
	if s := stepAt(louder(swing, 21, 40, 3, 3, 4.2), 20); s.db == 0 {
		t.Errorf("the top off by 1 dB: %+v", s)
	}
	if s := stepAt(louder(swinging(still(40), 0.6), 21, 40, 3, 3, 5.2), 20); s.db != 0 {
		t.Errorf("the top off by 2 dB: %+v", s)
	}
}

// levelled adds to the levels of both channels, and to the correlation.
func levelled(ws []weigh, from, to int, left, right levels, corr float64) []weigh {
	for i := from; i < to; i++ {
		for b := range left {
			ws[i].levels[0][b] += left[b]
			ws[i].levels[1][b] += right[b]
		}
		ws[i].corr += corr
	}
	return ws
}

// A gain leaves the other channel as it was; what an instrument that plays alone does not.
func TestGoesOn(t *testing.T) {
	for _, tt := range []struct {
		name        string
		left, right levels
		corr        float64
		want        bool
	}{
		{"left 6 dB down", levels{-6, -6, -6}, levels{}, 0, true},
		{"right 6 dB down", levels{}, levels{-6, -6, -6}, 0, true},
		{"left down, right with the beat", levels{-6, -6, -6}, levels{3, -3, 3}, 0.1, true},
		{"both down", levels{-6, -6, -6}, levels{-4, -4, -4}, 0, false},
		{"left down, another low end in the right", levels{-6, -6, -6}, levels{0, -4, 0}, 0, false},
		{"left down, another top in the right", levels{-6, -6, -6}, levels{0, 0, 4}, 0, false},
		{"another correlation", levels{-6, -6, -6}, levels{}, 0.3, false},
	} {
		if got := goesOn(levelled(still(40), 21, 40, tt.left, tt.right, tt.corr), 20); got != tt.want {
			t.Errorf("%s: %v", tt.name, got)
		}
	}
	if goesOn(unheard(still(40), 0, 18), 20) {
		t.Error("two blocks of sound before")
	}
}

// A gain that the low end does not tell alone must be more than the balance moves anyway,
// and the music must go on across it: at one end, or at both without any low end.
func TestGained(t *testing.T) {
	ends := func(a, b bool) []weigh {
		ws := still(80)
		for at, goes := range map[int]bool{20: a, 60: b} {
			if !goes {
				levelled(ws, at, at+10, levels{-9, -9, -9}, levels{-9, -9, -9}, 0)
			}
		}
		return ws
	}
	sure, spoke, mute := step{solid: true, low: true}, step{low: true}, step{}
	for i, tt := range []struct {
		ws     []weigh
		s      step
		wander float64
		want   bool
	}{
		{ends(true, true), mute, 0.5, true},
		{ends(true, false), mute, 0.5, false},
		{ends(false, true), mute, 0.5, false},
		{ends(true, false), spoke, 0.5, true},
		{ends(false, true), spoke, 0.5, true},
		{ends(false, false), spoke, 0.5, false},
		{ends(false, true), sure, 5, true},
		{ends(false, false), sure, 0, false},
		{ends(true, true), spoke, 1.1, true},
		{ends(true, true), spoke, 1.3, true},
		{ends(true, true), mute, 1.1, true},
		{ends(true, true), mute, 1.3, false},
		{ends(false, true), spoke, 1.3, false},
		{ends(false, false), step{alike: true}, 1.1, true},
		{ends(false, false), step{alike: true}, 1.3, false},
		{ends(true, false), step{alike: true}, 1.3, false},
		{louder(ends(true, true), 20, 60, 0, 2.6, 0), step{alike: true}, 1.6, true},
		{louder(ends(true, true), 20, 60, 0, 2.6, 0), step{alike: true}, 1.7, false},
		{louder(ends(true, true), 20, 60, 0, 2.4, 0), step{alike: true}, 1.6, false},
	} {
		a, b := tt.s, tt.s
		a.at, b.at, a.db, b.db = 20, 60, 3, -3
		if got := gained(tt.ws, a, b, tt.wander); got != tt.want {
			t.Errorf("%d: %v", i, got)
		}
	}
}

// The wander is the spread of the balance of 2 s, by medians: what is off for a part does
// not count.
func TestWander(t *testing.T) {
	ws := still(160)
	for i := range ws {
		ws[i].rest = float64(i / 8 % 3) // 2 s each at 0, 1 and 2 dB
	}
	if got := wander(louder(ws, 0, 32, 9, 9, 9), heard, restOf); math.Abs(got-1/normalMAD) > 0.01 {
		t.Errorf("%.2f dB", got)
	}
	if got := wander(unheard(still(80), 0, 80), heard, restOf); got != 0 {
		t.Errorf("of nothing: %.2f dB", got)
	}
}

// Of two that overlap the shorter one is named.
func TestShorterPart(t *testing.T) {
	m := New(testRate, 2)
	ws := louder(still(200), 20, 199, 3, 3, 3)
	got := m.parts(louder(ws, 100, 130, -3, -3, -3))
	if len(got) != 1 || math.Abs(got[0].At-100*m.blocks.seconds) > 0.6 {
		t.Errorf("%+v", got)
	}
}
