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
	a := &analysis{start: 5.1, step: 0.006, total: make([]float64, 10000), levels: l, origin: 5.1}
	for p := range a.part {
		a.part[p] = a.total
	}
	return &reading{analysis: a, pulse: pulse{hz: 2}}
}

// Of two places half a beat apart the one is the beat where the chords change, unless the
// drums say otherwise by more; others are not asked.
func TestSettle(t *testing.T) {
	const half = foldBins / 2
	on, off := chordsOn(0), chordsOn(0.25)
	by := -off.onThanBetween(0, half)
	if by < 0.5 || by > drumsSure-0.2 || on.onThanBetween(0, half) < 0.5 {
		t.Fatalf("%.2f on the beat, %.2f off it", on.onThanBetween(0, half), -by)
	}
	for _, c := range []struct {
		name   string
		b      *reading
		at     []int
		scores []float64
		want   int
	}{
		{"drums and chords agree", on, []int{0, half}, []float64{2, 1}, 0},
		{"chords speak against them", off, []int{0, half}, []float64{1 + by - 0.05, 1}, half},
		{"by less", off, []int{0, half}, []float64{1 + by + 0.05, 1}, 0},
		{"chords speak for the weaker place", on, []int{0, half}, []float64{1, 1.1}, 0},
		{"nearly half a beat", off, []int{0, half + apart}, []float64{1.2, 1}, half + apart},
		{"a quarter of a beat", off, []int{0, half - apart - 1}, []float64{1.2, 1}, 0},
		{"the better of two rivals", off, []int{0, half - 2, half + 2}, []float64{1.2, 1, 1.1}, half + 2},
		{"one place", off, []int{7}, []float64{1}, 7},
		{"levels unknown", &reading{analysis: &analysis{step: 0.006}, pulse: pulse{hz: 2}}, []int{0, half}, []float64{2, 1.9}, 0},
	} {
		if got, _ := c.b.settle(barsOfNothing(), c.at, c.scores); got != c.want {
			t.Errorf("%s: %d, want %d", c.name, got, c.want)
		}
	}
}

// Drums that are sure are not asked about: bars that begin off the beat and chords that change
// there would say otherwise.
func TestSettleSure(t *testing.T) {
	const half = foldBins / 2
	b := barsOn(half)
	b.levels = chordsOn(0.25).levels
	if v := b.onThanBetween(0, half); v > -drumsSure-0.5 {
		t.Fatalf("%.2f", v)
	}
	for lead, want := range map[float64]int{drumsSure: 0, drumsSure - 0.01: half} {
		if got, _ := b.settle(barsOfNothing(), []int{0, half}, []float64{1 + lead, 1}); got != want {
			t.Errorf("lead %.2f: %d, want %d", lead, got, want)
		}
	}
}

// barsOn is a reading at 120 BPM of 60 s in which a kick begins each bar of 2 s at a bin.
func barsOn(bin int) *reading {
	b := chordsOn(0)
	for i := range b.levels.value.Len() {
		*b.levels.value.At(i) = 0
	}
	b.levels.part = threeParts[:1]
	x := make([]float64, 10000)
	for t := float64(bin) / foldBins / 2; t < 59; t += 2 {
		x[int(math.Round(t/b.step))] = 1
	}
	b.part[low], b.part[mid] = x, x
	return b
}

// A kick on the one is worth, in the evidence for a bar, the weights of the first sixteenth in
// the low part, the middle and the kicks, each by the root of its strength against the mean, 4
// for one of sixteen; from half a beat later it is the place in the bar at which they weigh most
// of those half a beat off, the third beat and a half.
func TestBarsFrom(t *testing.T) {
	const half = foldBins / 2
	for from, step := range map[int]int{half: 0, 0: 10} {
		want := 4 * (lineWeights[step] + lineWeights[mid*PatternSteps+step] + lineWeights[kicks*PatternSteps+step])
		if got := barsOn(from).barsFrom(half); math.Abs(got-want) > 0.05 {
			t.Errorf("from bin %d: %.3f, want %.3f", from, got, want)
		}
	}
}

// Bars, chords and sections are weighed: each against the sum without it.
func TestOnThanBetween(t *testing.T) {
	const half = foldBins / 2
	b := chordsOn(0)
	b.part[low] = barsOn(half).part[low]
	h := b.halves(0)
	if changeRatio(h) < 0.5 || sectionsOn(h) == 0 || b.barsFrom(half) < b.barsFrom(0)+0.5 {
		t.Fatalf("%.2f, %.2f, %.2f against %.2f", changeRatio(h), sectionsOn(h), b.barsFrom(half), b.barsFrom(0))
	}
	want := 0.8*(b.barsFrom(0)-b.barsFrom(half)) + changeRatio(h) + 0.8*sectionsOn(h)
	if got := b.onThanBetween(0, half); math.Abs(got-want) > 1e-9 {
		t.Errorf("%.3f, want %.3f", got, want)
	}
}

// Parts that begin on the beat, between, and on both, by as much; none begins: 0.
func TestSectionsOn(t *testing.T) {
	parts := func(starts ...int) (out []beatPlayed) {
		level := 0.0
		for i := range 160 {
			for _, s := range starts {
				if i == s {
					level += 3
				}
			}
			out = append(out, beatPlayed{levels: []float64{level + float64(i%16)}})
		}
		return out
	}
	for _, c := range []struct {
		starts []int
		want   float64
	}{{[]int{48, 112}, 1}, {[]int{49, 111}, -1}, {[]int{48, 111}, 0}, {nil, 0}} {
		if got := sectionsOn(parts(c.starts...)); math.Abs(got-c.want) > 0.05 {
			t.Errorf("%v: %.3f, want %.0f", c.starts, got, c.want)
		}
	}
}

// A part of a track hears its own levels: chords that change on the beat of the second part.
func TestSettleInAPart(t *testing.T) {
	b := chordsOn(0.25)
	part := &reading{analysis: b.cut(5000, 10000), pulse: b.pulse} // from 30 s on, the beat at 30.25
	if q := changeRatio(part.halves(foldBins / 2)); q < 0.5 {
		t.Errorf("%.2f", q)
	}
	if q := changeRatio(part.halves(0)); q > -0.5 {
		t.Errorf("half a beat off: %.2f", q)
	}
}
