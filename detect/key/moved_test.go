package key

import (
	"math"
	"testing"
)

// planOf are stretches of six full segments each of I IV V I in C major, so many semitones up.
func planOf(ups ...int) *plan {
	var parts []part
	for _, up := range ups {
		parts = append(parts, segmentsIn(Key{up, Major}, 6)...)
	}
	return newPlan(parts, segmentMoments*momentFrames, 4.458)
}

// Pearson's coefficient by hand: of 1, 0, ... with itself turned it is 1 or -1/11; of a list
// of two octaves each is turned by itself.
func TestAlike(t *testing.T) {
	var a, b [12]float64
	a[11], b[2] = 3, 0.5
	var c, d [24]float64
	c[11], c[12+4] = 1, 2
	d[2], d[12+7] = 2, 4
	for _, x := range []struct {
		a, b []float64
		up   int
		want float64
	}{
		{a[:], b[:], 3, 1}, {a[:], b[:], 2, -1 / 11.0}, {b[:], a[:], 9, 1}, {c[:], d[:], 3, 1}, {c[:], d[:], 0, -0.08108},
		{a[:], make([]float64, 12), 0, 0},
	} { // -0.08108: -24 (3/24) (6/24) over the root of (5 - 9/24) (20 - 36/24)
		if got := alike(x.a, x.b, x.up); math.Abs(got-x.want) > 1e-5 {
			t.Errorf("turned by %d: %.5f, want %.5f", x.up, got, x.want)
		}
	}
}

// A part in C moved up is the same in that key: what sounds, what follows what, what opens.
func TestTransposed(t *testing.T) {
	c := segmentsIn(Key{0, Major}, 6)[1]
	c.chords.opening[0], c.chords.opening[12+9] = 0.7, 0.3
	c.chords.entering[0], c.chords.entering[12+7], c.chords.entries = 5, 2, 8
	for _, up := range []int{0, 1, 5, 11, 12} {
		q := c.transposed(up)
		if q.weight != c.weight || q.chords.entries != c.chords.entries {
			t.Errorf("up %d: weight %v, steps %v", up, q.weight, q.chords.entries)
		}
		for i := range 24 {
			to := (i%12+up)%12 + i/12*12
			if i < 12 && (q.all[to] != c.all[i] || q.bass[to] != c.bass[i]) || q.chords.sounding[to] != c.chords.sounding[i] || q.chords.opening[to] != c.chords.opening[i] || q.chords.entering[to] != c.chords.entering[i] {
				t.Errorf("up %d: %d", up, i)
			}
			for j := range 24 {
				if q.chords.moves[to][(j%12+up)%12+j/12*12] != c.chords.moves[i][j] {
					t.Errorf("up %d: from %d to %d", up, i, j)
				}
			}
		}
		a, b := c.odds(), q.odds()
		if k, _ := a.best(); math.Abs(b.of(k.Transposed(up))-a.of(k)) > 1e-9 {
			t.Errorf("up %d: odds %v of %v, %v moved", up, a.of(k), k, b.of(k.Transposed(up)))
		}
	}
}

// What was played in C and goes on so many semitones higher is found there and so far up;
// what goes on as it was is not, nor what is too short.
func TestMusicMoves(t *testing.T) {
	for up := 1; up < 12; up++ {
		p := planOf(0, up)
		if got := p.moved(0, 6, 12); got.up != up || !got.plain() {
			t.Errorf("%d semitones up: %+v", up, got)
		}
		if at, is := p.movesAt(0, 12); !is || at != 6 {
			t.Errorf("%d semitones up: at %d, %v", up, at, is)
		}
	}
	same := planOf(4, 4)
	if got := same.moved(0, 6, 12); got.gain > 0 {
		t.Errorf("in one key: %+v", got)
	}
	if _, is := same.movesAt(0, 12); is {
		t.Error("in one key")
	}
	if _, is := planOf(0, 2).movesAt(2, 11); is {
		t.Error("nine segments are enough for two keys")
	}
	if at, is := planOf(0, 2).movesAt(1, 11); !is || at != 6 {
		t.Error("five on each side are not enough")
	}
	thin := planOf(0, 2)
	thin.full[6], thin.full[7], thin.full[8] = false, false, false
	if _, is := thin.movesAt(0, 12); is {
		t.Error("four full segments are enough")
	}
	thin.full[8] = true
	if _, is := thin.movesAt(0, 12); !is {
		t.Error("five full segments are not enough")
	}
}

// A move needs all three signs, each to its bound.
func TestPlainMove(t *testing.T) {
	for _, c := range []struct {
		m    move
		want bool
	}{
		{move{gain: movedGain, notes: movedAlike, odds: movedOdds}, true},
		{move{gain: movedGain - 0.01, notes: 1, odds: 50}, false},
		{move{gain: 1, notes: movedAlike - 0.01, odds: 50}, false},
		{move{gain: 1, notes: 1, odds: movedOdds - 0.1}, false},
	} {
		if got := c.m.plain(); got != c.want {
			t.Errorf("%+v: %v", c.m, got)
		}
	}
}

// Of three stretches each is named, in the keys that explain all of them together.
func TestMovesTwice(t *testing.T) {
	p := planOf(0, 2, 5)
	all := p.split(0, 18)
	if len(all) != 3 || all[0].moved || !all[1].moved || !all[2].moved {
		t.Fatalf("%d stretches", len(all))
	}
	for i := 1; i < len(all); i++ {
		if all[i].first != all[i-1].last || all[i].first < 6*i-1 || all[i].first > 6*i+1 { // to a segment
			t.Errorf("stretch %d from %d", i, all[i].first)
		}
	}
	p.agree(all)
	for i, up := range []int{0, 2, 5} {
		if (all[i].key != Key{up, Major}) {
			t.Errorf("stretch %d in %v", i, all[i].key)
		}
	}
}

// Two stretches that are one another moved have the key that explains both best, so far
// apart: faint notes of the second that alone say another are outweighed. Where nothing joins
// them each keeps its own.
func TestTogether(t *testing.T) {
	x, _ := planOf(0).stretch(0, 6)
	y, _ := planOf(7).stretch(0, 6)
	y.part.scale(0.1)
	y.part.chords = harmony{}
	alone := []held{x, y}
	(&plan{}).agree(alone)
	if alone[0].key != x.key || alone[1].key != y.key || (y.key != Key{7, Major}) {
		t.Errorf("%v and %v, which nothing joins", alone[0].key, alone[1].key)
	}
	all := []held{x, y}
	together(all, []int{0, 5})
	if (all[0].key != Key{0, Major}) || (all[1].key != Key{5, Major}) {
		t.Errorf("%v and %v", all[0].key, all[1].key)
	}
	if o := all[1].part.odds(); o.of(Key{5, Major}) < 0.5 {
		t.Errorf("the notes of the second are those of both: %.2f", o.of(Key{5, Major}))
	}
}

// The second stretch is turned back before both are added up: of C major and of the same in F
// no note is left that is not of C major.
func TestTogetherTurnsBack(t *testing.T) {
	x, _ := planOf(0).stretch(0, 6)
	y, _ := planOf(5).stretch(0, 6)
	all := []held{x, y}
	together(all, []int{0, 5})
	for _, c := range []struct {
		h  held
		up int
	}{{all[0], 0}, {all[1], 5}} {
		notes := scale(Key{c.up, Major})
		for i, v := range c.h.part.all {
			if !notes[i] && v > 0 {
				t.Errorf("%v: %.2f of %s", c.h.key, v, Key{i, Major})
			}
		}
		if want := x.part.weight + y.part.weight; math.Abs(c.h.part.weight-want) > 1e-9 {
			t.Errorf("%v: weight %.2f, want %.2f", c.h.key, c.h.part.weight, want)
		}
	}
}

// Neighbours in one key become one, others stay.
func TestJoined(t *testing.T) {
	c, d := Key{0, Major}, Key{2, Major}
	h := func(k Key, first, last int) held {
		return held{key: k, first: first, last: last, full: last - first, part: part{sounds: sounds{weight: float64(last - first)}}}
	}
	got := joined([]held{h(c, 0, 2), h(c, 2, 5), h(d, 5, 9), h(d, 9, 10), h(d, 10, 14), h(c, 14, 20)})
	want := []held{h(c, 0, 5), h(d, 5, 14), h(c, 14, 20)}
	if len(got) != len(want) {
		t.Fatalf("%d stretches", len(got))
	}
	for i := range want {
		g, w := &got[i], &want[i]
		if g.key != w.key || g.first != w.first || g.last != w.last || g.full != w.full || g.part.weight != w.part.weight {
			t.Errorf("stretch %d: %v from %d to %d, %d full, weight %.0f", i, g.key, g.first, g.last, g.full, g.part.weight)
		}
	}
	if joined(nil) != nil {
		t.Error("of none there are none")
	}
}
