package continuity

import (
	"math"
	"slices"
	"testing"

	"dubgauge/detect/reason"
)

// What is taken for a fault in music that has none; of each the fault beside it.

// A constant in one channel is no level: what plays is as loud in both.
func TestConstantIsNoLevel(t *testing.T) {
	x := song(1)
	for i := range x[0] {
		x[0][i] += 0.4
	}
	if got := run(x, testRate, testGrid); countKind(got, reason.WeakChannel) > 0 {
		t.Errorf("0.4 of full scale added on the left: %+v", got)
	}
	scale(x[1], 0.3)
	if got := run(x, testRate, testGrid); countKind(got, reason.WeakChannel) != 1 {
		t.Errorf("and 10 dB down on the right: %+v", got)
	}
}

// The sums of a block of x = m + a, a without a mean, are those of a and the squares and
// the product of m.
func TestSwinging(t *testing.T) {
	b := block{power: [2]float32{0.25 + 0.04, 0.01 + 0.09}, low: [2]float32{0.02 + 0.04, 0.05}, slope: [2]float32{1, 2},
		cross: 0.3 - 0.06, lowCross: 0.1 - 0.06, mean: [2]float32{0.2, -0.3}}
	want := block{power: [2]float32{0.25, 0.01}, low: [2]float32{0.02, 0}, slope: [2]float32{1, 2}, cross: 0.3, lowCross: 0.1, mean: b.mean}
	got := b.swinging()
	for _, p := range [][2]float32{{got.power[0], want.power[0]}, {got.power[1], want.power[1]}, {got.low[0], want.low[0]}, {got.low[1], want.low[1]},
		{got.slope[1], want.slope[1]}, {got.cross, want.cross}, {got.lowCross, want.lowCross}} {
		if math.Abs(float64(p[0]-p[1])) > 1e-6 {
			t.Errorf("got %+v, want %+v", got, want)
			break
		}
	}
	// Of one block made of two the means are those of both.
	bs := newBlocks(2, testRate, 64)
	for range maxBlocks {
		for range bs.perBlock {
			bs.cell(&[2]cell{{sum: 64 * 0.5, energy: 64 * 0.25}, {}}, 0, 64)
		}
	}
	if got := bs.list[1].swinging(); bs.list[1].mean[0] != 0.5 || got.power[0] > 1e-6 || len(bs.list) != maxBlocks/2 {
		t.Errorf("a constant of 0.5 in %d blocks: %+v", len(bs.list), got)
	}
}

// A mix may lean to the left in its middle and be louder on the right, by its bass: then no
// channel is weak. The sum of cross spectra that lean gives leans by 3 dB throughout.
func TestWeakInTheWhole(t *testing.T) {
	for _, tt := range []struct {
		whole float64 // left over right, dB
		want  int
	}{{3, 1}, {1.6, 1}, {1.4, 0}, {-2, 0}} {
		m := New(testRate, 2)
		m.lag.frames = lateFrames
		for k := range m.lag.cross {
			m.lag.power[0][k], m.lag.power[1][k], m.lag.cross[k] = 2, 1, math.Sqrt2
		}
		ws := still(40)
		for i := range ws {
			ws[i].levels[0][0] = tt.whole
		}
		if got := m.weak(append(ws, weigh{levels: [2]levels{{-90}}})); len(got) != tt.want {
			t.Errorf("louder by %.1f dB on the left: %+v", tt.whole, got)
		}
	}
}

// An instrument that plays alone, on one side, has more in common in the channels than the
// mix, and where the balance wanders the rest does not stay as the steps say.
func TestKeeps(t *testing.T) {
	with := func(ws []weigh, from, to int, corr float64) []weigh {
		for i := from; i < to; i++ {
			ws[i].corr = corr
		}
		return ws
	}
	part := func(rest float64) []weigh { return louder(still(120), 40, 80, 0, rest, 0) }
	for _, tt := range []struct {
		name  string
		ws    []weigh
		solid bool
		want  bool
	}{
		{"a gain", part(3), false, true},
		{"the rest shows 1.6 dB of 3", part(1.6), false, true},
		{"the rest shows 1.4 dB of 3", part(1.4), false, false},
		{"the rest goes the other way", part(-3), false, false},
		{"the rest goes the other way, kick and bass lie still", part(-3), true, true},
		// atanh(0.8) - atanh(0.5) is 0.55, atanh(0.86) 0.74, of -0.2 -0.75.
		{"with a little more in common", with(part(3), 40, 81, 0.8), true, true},
		{"with more in common", with(part(3), 40, 81, 0.86), true, false},
		{"with less in common", with(part(3), 40, 81, -0.2), false, false},
		{"equal, then the same on one side", with(part(3), 0, 120, 1), true, true},
		{"nothing that is heard", unheard(part(3), 41, 80), false, false},
	} {
		a, b := step{at: 40, db: 3, solid: tt.solid}, step{at: 80, db: -3, solid: tt.solid}
		if got := keeps(tt.ws, a, b); got != tt.want {
			t.Errorf("%s: %v", tt.name, got)
		}
		a.db, b.db = -3, 3
		if got := keeps(mirrored(tt.ws, 0, len(tt.ws)), a, b); got != tt.want {
			t.Errorf("%s, on the other side: %v", tt.name, got)
		}
	}
	// Those are asked for in parts.
	ws := louder(still(120), 40, 70, 3, 3, 3)
	if got := New(testRate, 2).parts(with(ws, 41, 70, 0.95)); len(got) > 0 {
		t.Errorf("an instrument alone: %+v", got)
	}
}

// A low end that wanders by itself does not tell a gain.
func TestLowEndThatWanders(t *testing.T) {
	for by, want := range map[float64]bool{0.6: true, 1.2: false} {
		ws := still(80)
		for i := range ws {
			ws[i].low = by * float64(i/8%3) // a wander of by / normalMAD
		}
		a, b := step{at: 20, db: 3, low: true}, step{at: 60, db: -3, low: true}
		if got := gained(ws, a, b, 0); got != want {
			t.Errorf("by %.1f dB: %v", by, got)
		}
	}
}

// Of a mix that leans to and fro some places are turned round by chance.
func TestLeansAnyway(t *testing.T) {
	ws := still(240)
	for i := range ws {
		ws[i].rest = 0.5 * float64(i/8%3) // a wander of 0.74 dB: 1.85 is beyond it
		ws[i].low = 3 * float64(i/8%3)
		ws[i].speaks = i%2 == 0
	}
	for _, tt := range []struct {
		before [3]float64
		want   bool
	}{
		{[3]float64{1.8, 0, 2}, true}, {[3]float64{-1.9, 0, 2}, false}, {[3]float64{0, 0.1, 0}, false}, {[3]float64{0, 0, -9}, true}, {[3]float64{0, 0, 12}, false},
	} {
		if got := leansAnyway(ws)(turn{before: tt.before}); got != tt.want {
			t.Errorf("%v: %v", tt.before, got)
		}
	}
	to := mirrored(leaning(160, 0, 1.5, 1), 60, 100)
	for i := range to {
		d := 2 * float64(i/8%3-1)
		to[i].rest += d
		to[i].top += d
	}
	if got := New(testRate, 2).swapped(to); len(got) > 0 {
		t.Errorf("a mix that leans to and fro: %+v", got)
	}
}

// A hit that begins with the file, off the beat that was found, begins with small samples and
// small differences of samples; what is cut has one of them.
func TestHitThatBeginsTheFile(t *testing.T) {
	hit := func() [][]float32 {
		x := song(1)
		for c := range x {
			x[c] = x[c][sec(4.13):]
			x[c] = slices.Concat(make([]float32, sec(0.3)), x[c][sec(0.3):])
			for i := range sec(0.3) {
				s := float64(i) / testRate
				x[c][i] = float32(0.7*math.Sin(2*math.Pi*2000*s)*min(1, 4e6*s*s)*math.Exp(-3*s)) + 0.002 // not from zero, as a decoder has it
			}
		}
		return x
	}
	// Beats of song lie on whole and half seconds.
	if got := run(hit(), testRate, Grid{BPM: 120, FirstBeat: 0.37, Confidence: 1}); countKind(got, reason.CutStart) > 0 {
		t.Errorf("a hit that begins with the file: %+v", got)
	}
	x := hit()
	for c := range x {
		x[c] = x[c][sec(0.0401):]
	}
	if got := run(x, testRate, Grid{BPM: 120, FirstBeat: 0.33, Confidence: 1}); countKind(got, reason.CutStart) != 1 {
		t.Errorf("the same without its first 40 ms: %+v", got)
	}
}

// The differences of 0, 0.1, 0.3, 0.4, 0.4 are 0.1, 0.2, 0.1 and 0, the sum of squares 0.06.
func TestLeaps(t *testing.T) {
	x := []float32{0, 0.1, 0.3, 0.4, 0.4}
	for direction, want := range map[int]float64{1: 0.2, -1: 0.2} {
		leap, slope := leaps(x, direction)
		if math.Abs(leap-want) > 1e-6 || math.Abs(slope-math.Sqrt(0.06/4)) > 1e-6 {
			t.Errorf("%d: %.3f %.3f", direction, leap, slope)
		}
	}
	far := []float32{0, 0.1, 0.1, 0.1, 0.6, 0.6, 0.6, 0.4}
	if a, _ := leaps(far, 1); math.Abs(a-0.1) > 1e-6 {
		t.Errorf("before: %.3f", a)
	}
	if a, _ := leaps(far, -1); math.Abs(a-0.2) > 1e-6 {
		t.Errorf("behind: %.3f", a)
	}
	if a, b := leaps(nil, 1); a != 0 || b != 0 {
		t.Error("of nothing")
	}
}

// Of the 17 half octaves from 40 Hz to 14 kHz those below 905 Hz are equal but for 3.01 dB, with
// weights of 1/0.3^2, the other eight have nothing in common, with 1/(0.3^2 + 3.5^2):
//
//	mean = 9 * 11.11 * 3.01 / (9 * 11.11 + 8 * 0.081), spread = 3.01 * sqrt(share - share^2)
func TestLeanGoesByWhatIsCommon(t *testing.T) {
	l := newLag(testRate)
	if b := l.lean(); b.known {
		t.Errorf("of nothing: %+v", b)
	}
	l.frames = lateFrames
	edge := l.bin(40 * math.Pow(math.Sqrt2, 9))
	for k := range l.cross {
		l.power[0][k], l.power[1][k] = 1, 1
		if k < edge {
			l.power[0][k], l.cross[k] = 2, math.Sqrt2
		}
	}
	low, high := 9/(0.3*0.3), 8/(0.3*0.3+3.5*3.5)
	share, d := low/(low+high), decibels(2)
	b := l.lean()
	if !b.known || math.Abs(b.db-share*d) > 1e-6 || math.Abs(b.sigma-1/math.Sqrt(low+high)) > 1e-6 || math.Abs(b.spread-d*math.Sqrt(share-share*share)) > 1e-6 {
		t.Errorf("%+v", b)
	}
	if l.frames--; l.lean().known {
		t.Error("of two frames")
	}
}

// One channel that is silent between cuts for 4 s and more is dead, on the beat too, while the
// other one plays.
func TestDeadBetween(t *testing.T) {
	playing := func(db float64) *Meter {
		m := New(testRate, 2)
		for range 100 {
			m.blocks.list = append(m.blocks.list, block{power: [2]float32{0, float32(math.Pow(10, db/10))}})
		}
		return m
	}
	for _, tt := range []struct {
		name          string
		m             *Meter
		seconds       float64
		channels      int
		before, after edge
		want          bool
	}{
		{"8 s", playing(-20), 8, 1, cutEdge, cutEdge, true},
		{"8 s, faded within 20 ms", playing(-20), 8, 1, rampEdge, rampEdge, true},
		{"2 s", playing(-20), 2, 1, cutEdge, cutEdge, false},
		{"8 s of both", playing(-20), 8, 3, cutEdge, cutEdge, false},
		{"8 s of the one that plays", playing(-20), 8, 2, cutEdge, cutEdge, false},
		{"8 s after a tail", playing(-20), 8, 1, softEdge, cutEdge, false},
		{"8 s before a swell", playing(-20), 8, 1, cutEdge, softEdge, false},
		{"8 s, nothing plays", playing(-45), 8, 1, cutEdge, cutEdge, false},
	} {
		g := &gap{start: int64(sec(8)), end: int64(sec(8 + tt.seconds)), before: tt.before, after: tt.after, channels: tt.channels}
		if got := tt.m.deadBetween(g); got != tt.want {
			t.Errorf("%s: %v", tt.name, got)
		}
	}
	// Of beats of half a second 16 are 8 s.
	g := &gap{start: int64(sec(8)), end: int64(sec(16)), before: cutEdge, after: cutEdge, channels: 1}
	if m := playing(-20); !m.isHole(g, testGrid, false, false) {
		t.Error("8 s on the beat are no hole")
	}
}

// A wave that is cut near zero: 10 dB down in the last 1.5 ms, with half the RMS in the last
// samples, in sound that is as loud 90 ms before.
func TestBreaksOff(t *testing.T) {
	for i, tt := range []struct {
		e    edge
		want bool
	}{
		{edge{near: 0.001, far: 0.01, early: 0.01, jump: 0.051}, true},
		{edge{near: 0.001, far: 0.01, early: 0.01, jump: 0.049}, false},
		{edge{near: 0.001, far: 0.01, early: 0.019, jump: 0.051}, true},
		{edge{near: 0.001, far: 0.01, early: 0.021, jump: 0.051}, false},
		{edge{near: 0.0006, far: 0.01, early: 0.01, jump: 0.051}, false},
	} {
		if got := tt.e.breaksOff(); got != tt.want {
			t.Errorf("%d: %v", i, got)
		}
	}
}
