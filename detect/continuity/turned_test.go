package continuity

import (
	"math"
	"math/rand/v2"
	"testing"
)

// waves is so many samples of a low tone with noise 40 dB under it.
func waves(n int, seed uint64) []float32 {
	rng := rand.New(rand.NewPCG(seed, 3))
	y := make([]float32, n)
	for i := range y {
		y[i] = float32(0.3*math.Cos(2*math.Pi*300*float64(i)/testRate) + 0.003*rng.NormFloat64())
	}
	return y
}

// Expected by the formulas: over a change of sign or of gain second differences are those
// of a step, and none with it taken back.
func TestWhatSecondDifferencesShow(t *testing.T) {
	const n, at = seenAround + 2 + 64 + seenBeside + 1, seenAround + 20
	for _, tt := range []struct {
		name           string
		gain           float32 // of what follows
		flips, changes bool
	}{
		{"as it is", 1, false, false},
		{"upside down", -1, true, true},
		{"3 dB down", 0.708, false, true},
		{"3 dB up", 1.413, false, true},
		{"half a decibel down", 0.96, false, false},
		{"nearly silent", 0.2, false, false},
	} {
		flipped, changed := 0, 0
		for seed := range uint64(20) {
			y := waves(n, seed)
			scale(y[at:], tt.gain)
			if flips(y) {
				flipped++
			}
			if changes(y, waves(n, seed+50)) {
				changed++
			}
		}
		// A gain is fitted, which noise allows in every fourth cell.
		if flipped >= 18 != tt.flips || flipped <= 2 == tt.flips || changed >= 18 != tt.changes || changed <= 8 == tt.changes {
			t.Errorf("%s: of 20 %d flip and %d change", tt.name, flipped, changed)
		}
	}
}

// A change of sign is looked for in any cell, one of a channel in those that stand out.
func TestWorth(t *testing.T) {
	const cell, i = 64, 400
	for _, tt := range []struct {
		name       string
		do         func(l, r []float32)
		some, many bool
	}{
		{"as it was", func(_, _ []float32) {}, false, false},
		{"changed sides", func(l, r []float32) {
			for k := range l {
				l[k], r[k] = r[k], l[k]
			}
		}, true, true},
		{"left 3 dB down", func(l, _ []float32) { scale(l, 0.708) }, false, true},
		{"right 3 dB down", func(_, r []float32) { scale(r, 0.708) }, false, true},
	} {
		some, many := 0, 0
		for seed := range uint64(20) {
			l, r := waves(600, seed), waves(600, seed+100)
			scale(r, -0.6)
			tt.do(l[i+41:], r[i+41:]) // where the tone is at its height
			var s seen
			if s.worth(l, r, i, cell, false) {
				some++
			}
			if s.worth(l, r, i, cell, true) {
				many++
			}
			// To the last sample that it needs, and no further.
			last := i + cell + seenBeside + 1
			if s.worth(l[:last], r[:last], i, cell, true) != s.worth(l, r, i, cell, true) || s.worth(l[:last-1], r[:last-1], i, cell, true) {
				t.Errorf("%s: it needs more or less than what lies beside the cell", tt.name)
			}
		}
		if some >= 15 != tt.some || some <= 8 == tt.some || tt.many && many < 15 {
			t.Errorf("%s: of 20 %d, and %d where all edits are looked for", tt.name, some, many)
		}
	}
	// Where the other channel jumps too, it is a sound that begins.
	alone, jumping := 0, 0
	for seed := range uint64(20) {
		const n = seenAround + 2 + 64 + seenBeside + 1
		y, o := waves(n, seed), waves(n, seed+50)
		scale(y[seenAround+20:], 0.6)
		if changes(y, o) {
			alone++
		}
		scale(o[seenAround+20:], 2)
		if changes(y, o) {
			jumping++
		}
	}
	if alone < 18 || jumping > 8 {
		t.Errorf("of 20 %d alone and %d beside another jump", alone, jumping)
	}
	var s seen
	l := waves(600, 1)
	if s.worth(l, l, 10, cell, true) || s.worth(l, l, 580, cell, true) {
		t.Error("what is not known on both sides is not worth a look")
	}
}

// A mend counts that is bridgeBetter times better. The signal is 10 before the edge and 3
// behind it, rising by a bit more; it is predicted by the sample before:
//
//	without: (10 - 3)^2 + rise^2; with: 100 - 900/(9 + rise^2), at least 2
func TestBridgeBetter(t *testing.T) {
	for _, tt := range []struct {
		rise float64
		want bool
	}{{3, false}, {1, false}, {0.8, false}, {0.7, true}, {0, true}} { // better by 1.2, 5, 7.5, 9.5 and 25
		b := newBridge()
		b.a[editLeft], b.v[editLeft] = [bridgeOrder + 1]float64{1, -1}, 1
		y, e := make([]float64, bridgeLength+30), make([]float64, 30)
		for i := range y {
			switch {
			case i < bridgeLength+5:
				y[i] = 10
			case i == bridgeLength+5:
				y[i] = 3
			default:
				y[i] = 3 + tt.rise
			}
		}
		for i := range e {
			d := y[bridgeLength+i] - y[bridgeLength+i-1]
			e[i] = d * d
		}
		b.y[editLeft], b.e[editLeft] = y, e
		if c := b.best(editLeft, editLeft); c.better > 0 != tt.want {
			t.Errorf("a rise of %g: %+v", tt.rise, c)
		}
	}
}

// Likeness is told by how far rhythms lie off the sixteenths: a bin of a beat of 0.5 s is
// 5.2 ms long, three of them 15.6, and one of a rhythm that lies between two bins is 2.6 off.
func TestLikenessOffTheSixteenths(t *testing.T) {
	of := func(bins ...int) (p phases) {
		for k := 0; k < phaseBins; k += phaseBins / 4 {
			for _, b := range bins {
				p[(k+b+phaseBins)%phaseBins]++
			}
		}
		return p.even()
	}
	a := of(0)
	for _, tt := range []struct {
		bins []int
		want float64
	}{{[]int{0}, 0}, {[]int{3}, 0.015625}, {[]int{-3}, -0.015625}, {[]int{0, 1}, 0.0026}, {[]int{-1, 0}, -0.0026}} {
		b := of(tt.bins...)
		l := liken(&a, &b)
		like, off := l.top(0.5)
		if like < 0.9 || like > 1.0001 || math.Abs(off-tt.want) > 2e-4 {
			t.Errorf("%v: %.2f, %.4f s off", tt.bins, like, off)
		}
		if got := l.near(tt.want, 0.003, 0.5); got < like-1e-9 {
			t.Errorf("%v: %.2f there, %.2f at the top", tt.bins, got, like)
		}
	}
	// Smoothed over three bins, neighbours have (1*2 + 2*1) / (1 + 4 + 1) in common, less the mean.
	b := of(3)
	if l := liken(&a, &b); l.near(0, 0.006, 0.5) > 0.2 || math.Abs(l.near(0, 0.011, 0.5)-0.64) > 0.03 || l.near(0, 0.016, 0.5) < 0.99 {
		t.Errorf("near the sixteenths %.2f, %.2f, %.2f", l.near(0, 0.006, 0.5), l.near(0, 0.011, 0.5), l.near(0, 0.016, 0.5))
	}
}
