package key

import (
	"math"
	"testing"
)

// likely gives a key its share and all others the rest alike.
func likely(k Key, share float64) (o odds) {
	for mode := range o {
		for tonic := range o[mode] {
			o[mode][tonic] = (1 - share) / 23
		}
	}
	o[k.Mode][k.Tonic] = share
	return o
}

// A change needs two keys that are clear on their own side and hardly likely on the other's.
func TestChromaApart(t *testing.T) {
	c, d := Key{0, Major}, Key{2, Major}
	both := likely(c, 0.75)
	both[Major][2] = 0.2
	edge := likely(c, 0.7)
	edge[Major][2] = 0.1
	edgeD := likely(d, 0.7)
	edgeD[Major][0] = 0.1
	for _, x := range []struct {
		name          string
		a, b          Key
		before, after odds
		want          bool
	}{
		{"a tone up", c, d, likely(c, 0.9), likely(d, 0.9), true},
		{"the same", c, c, likely(c, 0.9), likely(c, 0.9), false},
		{"relative", c, Key{9, Minor}, likely(c, 0.9), likely(Key{9, Minor}, 0.9), false},
		{"parallel", c, Key{0, Minor}, likely(c, 0.9), likely(Key{0, Minor}, 0.9), false},
		{"to i of its dorian shuttle", c, Key{7, Minor}, likely(c, 0.9), likely(Key{7, Minor}, 0.9), false},
		{"to IV of it", Key{7, Minor}, c, likely(Key{7, Minor}, 0.9), likely(c, 0.9), false},
		{"to the minor on its fourth", c, Key{5, Minor}, likely(c, 0.9), likely(Key{5, Minor}, 0.9), true},
		{"a fifth", c, Key{7, Major}, likely(c, 0.9), likely(Key{7, Major}, 0.9), true},
		{"unclear before", c, d, likely(c, 0.69), likely(d, 0.9), false},
		{"unclear after", c, d, likely(c, 0.9), likely(d, 0.69), false},
		{"the second likely before", c, d, both, likely(d, 0.9), false},
		{"the first likely after", d, c, likely(d, 0.9), both, false},
		{"just so", c, d, edge, edgeD, true},
	} {
		if got := apart(x.a, x.b, &x.before, &x.after); got != x.want {
			t.Errorf("%s: %v", x.name, got)
		}
	}
}

// segmentsIn are n full segments of I IV V I in a key, as true notes.
func segmentsIn(k Key, n int) []part {
	m := New(testRate, 1)
	seconds := float64(momentFrames*m.hop) / m.mid.rate
	x, rate := make([]sounds, n*segmentMoments), make([]float64, n*segmentMoments)
	l := chordLoops[0]
	if k.Mode == Minor {
		l = chordLoops[6]
	}
	for at := 0.0; at/2 < float64(len(x))*seconds; at += l.beats {
		for _, v := range l.notes {
			v.at, v.pitch = v.at+at, v.pitch+float64(k.Tonic)
			heardNotes(x, []note{v}, 120, v.level, seconds)
		}
	}
	for i := range x {
		m.moments = append(m.moments, moment{frames: momentFrames})
		x[i].scale(20)
		rate[i] = x[i].weight / momentFrames
	}
	return m.gather(x, rate)
}

// A key is held for at least 20 s on either side: five segments of 4.46 s.
func TestDiffer(t *testing.T) {
	frames := segmentMoments * momentFrames
	for _, c := range []struct {
		name          string
		before, after int
		to            Key
		want          bool
	}{
		{"a tone up", 6, 6, Key{2, Major}, true},
		{"just long enough", 5, 5, Key{2, Major}, true},
		{"too short before", 4, 6, Key{2, Major}, false},
		{"too short after", 6, 4, Key{2, Major}, false},
		{"relative", 6, 6, Key{9, Minor}, false},
	} {
		parts := append(segmentsIn(Key{0, Major}, c.before), segmentsIn(c.to, c.after)...)
		p := newPlan(parts, frames, 4.458)
		if p.least != 5 {
			t.Fatalf("at least %d segments", p.least)
		}
		if got := p.differ(0, c.before, c.before+c.after); got != c.want {
			t.Errorf("%s: %v", c.name, got)
		}
	}
}

// Drums alone in thin segments are no key: three thin ones of six leave too few.
func TestThinSegmentsSayNothing(t *testing.T) {
	parts := append(segmentsIn(Key{0, Major}, 6), segmentsIn(Key{2, Major}, 6)...)
	for i := range 3 {
		parts[i].scale(0.4)
	}
	p := newPlan(parts, segmentMoments*momentFrames, 4.458)
	if p.full[0] || !p.full[3] {
		t.Errorf("full: %v", p.full)
	}
	if p.differ(0, 6, 12) {
		t.Error("three full segments are enough")
	}
	if p.sums[3] != p.sums[0] || p.sums[4] == p.sums[3] {
		t.Error("a thin segment speaks")
	}
}

// With rates of 0.02, 1, 2, 4 and 5 a frame the first has no say; the quantile 0.8 of the
// others is 4.4 between the last two by linear interpolation, (3 x 0.8 = 2.4: 4 + 0.4 x 1).
// Of three frames each, what is as full weighs 3, half as full half of it.
func TestBalance(t *testing.T) {
	rate := []float64{0.02, 1, 2, 4, 5}
	x := make([]sounds, len(rate))
	for i, r := range rate {
		x[i].weight = 3 * r
		x[i].all[i], x[i].bass[i] = 3*r, r
	}
	balance(x, rate)
	for i, want := range []float64{0, 3 / 4.4, 6 / 4.4, 12 / 4.4, 3} {
		if math.Abs(x[i].weight-want) > 1e-9 || math.Abs(x[i].all[i]-want) > 1e-9 || math.Abs(x[i].bass[i]-want/3) > 1e-9 {
			t.Errorf("%v a frame: weight %.3f, want %.3f", rate[i], x[i].weight, want)
		}
	}
	balance(nil, nil)
}
