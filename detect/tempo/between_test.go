package tempo

import (
	"math"
	"math/rand/v2"
	"testing"
)

// halvesOf are half beats of two bands: drums that repeat every bar, and chords that change by
// on at the beats and by between at the half beats after them, up and down in turn.
func halvesOf(n int, on, between float64) (out []beatPlayed) {
	rng := rand.New(rand.NewPCG(1, 1))
	chord := 0.0
	for i := range n {
		by := on
		if i%2 == 1 {
			by = between
		}
		chord += by * float64(2*rng.IntN(2)-1)
		drums := float64(i % (2 * bar) * (i % 4))
		out = append(out, beatPlayed{levels: []float64{drums + chord, chord}})
	}
	return out
}

// Chords that change three times as much on the beat: the logarithm of 3, less what of it is
// taken for drums; half a beat later the same with another sign. Drums alone say nothing.
func TestChangeRatio(t *testing.T) {
	for _, c := range []struct{ on, between, want float64 }{{3, 1, math.Log(3)}, {1, 3, -math.Log(3)}, {2, 2, 0}} {
		if got := changeRatio(halvesOf(720, c.on, c.between)); math.Abs(got-c.want) > 0.1 {
			t.Errorf("%v on the beat, %v between: %.3f, want %.3f", c.on, c.between, got, c.want)
		}
	}
	if got := changeRatio(halvesOf(128, 0, 0)); got != 0 { // 16 bars: exact in binary
		t.Errorf("drums that repeat: %v", got)
	}
	if got := changeRatio(halvesOf(leastHalves-1, 3, 1)); got != 0 {
		t.Errorf("less than four bars: %v", got)
	}
	if changeRatio(halvesOf(leastHalves, 3, 1)) == 0 {
		t.Error("four bars are enough")
	}
}

// chordsOn is a reading at 120 BPM of 60 s with no drums at all, whose levels change at times
// of 1/2 s from late on, and little in between.
func chordsOn(late float64) *reading {
	const step = 1 / 22.0
	l := &levels{bands: 1, step: step}
	rng := rand.New(rand.NewPCG(2, 2))
	var chords, between [130]float64
	for i := range chords {
		chords[i], between[i] = 80*rng.Float64(), 20*rng.Float64()
	}
	for i := range int(60 / step) {
		n, rest := math.Modf((float64(i)*step - late + 1) / 0.5)
		v := chords[int(n)]
		if rest >= 0.5 {
			v += between[int(n)]
		}
		l.value.Append(uint8(v))
	}
	a := &analysis{start: 5, step: 0.006, total: make([]float64, 10000), levels: l, origin: 5}
	for p := range a.part {
		a.part[p] = a.total
	}
	return &reading{analysis: a, pulse: pulse{hz: 2}}
}

// Of two places half a beat apart the one is the beat where the chords change, unless the
// drums say otherwise by much more; others are not asked.
func TestSettle(t *testing.T) {
	const half = foldBins / 2
	on, off := chordsOn(0), chordsOn(0.25)
	strong := changeWeight * on.onThanBetween(0)
	if strong < changeWeight || math.Abs(strong+changeWeight*off.onThanBetween(0)) > strong/4 {
		t.Fatalf("%.2f on the beat, %.2f off it", on.onThanBetween(0), off.onThanBetween(0))
	}
	hardly := *chordsOn(0.25)
	for i := range hardly.levels.value.Len() { // a smaller ratio: about -0.1
		*hardly.levels.value.At(i) += uint8(90 * (i / 5 % 2))
	}
	if q := hardly.onThanBetween(0); q > -0.03 || q < -0.18 {
		t.Fatalf("%.3f", q)
	}
	for _, c := range []struct {
		name   string
		b      *reading
		at     []int
		scores []float64
		want   int
	}{
		{"drums and chords agree", on, []int{0, half}, []float64{2, 1}, 0},
		{"chords speak against them", off, []int{0, half}, []float64{2, 1}, half},
		{"chords speak for the weaker place", on, []int{0, half}, []float64{1, 2}, 0},
		{"drums that are sure", off, []int{0, half}, []float64{1 + drumsSure, 1}, 0},
		{"nearly sure", off, []int{0, half}, []float64{0.99 + drumsSure, 1}, half},
		{"chords that hardly speak", &hardly, []int{0, half}, []float64{2.9, 1}, 0},
		{"drums that hardly do", &hardly, []int{0, half}, []float64{1.1, 1}, half},
		{"nearly half a beat", off, []int{0, half + apart}, []float64{2, 1}, half + apart},
		{"a quarter of a beat", off, []int{0, half - apart - 1}, []float64{2, 1}, 0},
		{"the better of two rivals", off, []int{0, half - 9, half + 9}, []float64{3, 1, 2}, half + 9},
		{"one place", off, []int{7}, []float64{1}, 7},
		{"levels unknown", &reading{analysis: &analysis{step: 0.006}, pulse: pulse{hz: 2}}, []int{0, half}, []float64{2, 1.9}, 0},
	} {
		if got := c.b.settle(c.at, c.scores); got != c.want {
			t.Errorf("%s: %d, want %d", c.name, got, c.want)
		}
	}
}

// A part of a track hears its own levels: chords that change on the beat of the second part.
func TestSettleInAPart(t *testing.T) {
	b := chordsOn(0.25)
	part := &reading{analysis: b.cut(5000, 10000), pulse: b.pulse} // from 30 s on, the beat at 30.25
	if q := part.onThanBetween(foldBins / 2); q < 0.5 {
		t.Errorf("%.2f", q)
	}
	if q := part.onThanBetween(0); q > -0.5 {
		t.Errorf("half a beat off: %.2f", q)
	}
}
