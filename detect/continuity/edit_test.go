package continuity

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"dubgauge/detect/reason"
)

// wideSong is 24 s of a centred kick, bass and hats with a soft pad that differs in the
// channels; nothing leans to a side.
func wideSong(seed uint64) [][]float32 {
	rng := rand.New(rand.NewPCG(seed, 11))
	n := 24 * testRate
	x := [][]float32{make([]float32, n), make([]float32, n)}
	var pad [2][2]float64
	for i := range n {
		t := float64(i) / testRate
		in := math.Mod(t, 0.5)
		v := 0.3*math.Exp(-in*10)*math.Sin(2*math.Pi*(50*in+3*(1-math.Exp(-in*30)))) + 0.2*math.Sin(2*math.Pi*61.7*t)
		v += 0.1 * math.Exp(-math.Mod(t+0.25, 0.5)*60) * rng.NormFloat64()
		for c := range x {
			pad[c][0] += 0.02 * (6*rng.NormFloat64() - pad[c][0])
			pad[c][1] += 0.02 * (pad[c][0] - pad[c][1])
			x[c][i] = float32(math.Round((v+0.3*pad[c][1])*32768+rng.Float64()-rng.Float64()) / 32768)
		}
	}
	return x
}

// editedAt plants at some places off the beat, in a song each, for so many seconds, and
// gives how many kinds were found at their place, and how many findings there were in all.
func editedAt(t *testing.T, places int, kind reason.Kind, seconds float64, do func(l, r []float32)) (exact, all int) {
	t.Helper()
	clean := wideSong(1)
	for k := range places {
		at := 4.083 + 0.81*float64(k) + 0.0137*float64(k*k)
		x := [][]float32{append([]float32{}, clean[0]...), append([]float32{}, clean[1]...)}
		do(x[0][sec(at):sec(at+seconds)], x[1][sec(at):sec(at+seconds)])
		for _, f := range run(x, testRate, testGrid) {
			all++
			if f.Kind == kind && math.Abs(f.At-at) < 0.001 {
				exact++
			}
		}
	}
	return exact, all
}

// What is planted within a sample, for 3 s, is shorter than the balance of the blocks
// tells; found to the sample it is told by prediction. Of twelve places the prediction sees
// those where the signal is not near zero and no hat begins: eight and more here.
func TestEdits(t *testing.T) {
	for _, tt := range []struct {
		name string
		kind reason.Kind
		do   func(l, r []float32)
	}{
		{"changed sides", reason.SwappedPart, func(l, r []float32) {
			for i := range l {
				l[i], r[i] = r[i], l[i]
			}
		}},
		{"right upside down", reason.PolarityPart, func(_, r []float32) { scale(r, -1) }},
		{"left upside down", reason.PolarityPart, func(l, _ []float32) { scale(l, -1) }},
		{"right 3 dB down", reason.WeakPart, func(_, r []float32) { scale(r, 0.708) }},
		{"left 2 dB down", reason.WeakPart, func(l, _ []float32) { scale(l, 0.794) }},
	} {
		exact, all := editedAt(t, 12, tt.kind, 3, tt.do)
		if exact < 8 || all > exact+2 {
			t.Errorf("%s: %d of 12 at their place, %d findings", tt.name, exact, all)
		}
	}
}

// What the arrangement does: nothing of that is an edit of one channel.
func TestEditLookalikes(t *testing.T) {
	ramp := func(x []float32, gain float64) { // within 5 ms, as faders and pans move
		const n = testRate / 200
		for i := range x {
			x[i] *= float32(1 + (gain-1)*math.Min(1, float64(i)/n)*math.Min(1, float64(len(x)-i)/n))
		}
	}
	rng := rand.New(rand.NewPCG(3, 3))
	for _, tt := range []struct {
		name string
		do   func(l, r []float32)
	}{
		{"nothing", func(_, _ []float32) {}},
		{"a fader on the right", func(_, r []float32) { ramp(r, 0.7) }},
		{"a wider pad", func(l, r []float32) {
			for i := range l {
				d := (l[i] - r[i]) / 2
				l[i] += d / 2
				r[i] -= d / 2
			}
		}},
		{"both 3 dB down", func(l, r []float32) { scale(l, 0.708); scale(r, 0.708) }},
		{"a rim shot on the left", func(l, _ []float32) {
			for i := range 600 {
				l[i] += float32(0.4 * math.Exp(-float64(i)/80) * rng.NormFloat64())
			}
		}},
		{"one wrong sample on the right", func(_, r []float32) { r[0] += 0.3 }},
		{"a raw saw on the left", func(l, _ []float32) {
			for i := range l {
				l[i] += 0.1 * float32(2*math.Mod(float64(i)*87.3/testRate, 1)-1)
			}
		}},
		{"the top alone changes sides", func(l, r []float32) {
			low := [2]float32{l[0], r[0]}
			for i := range l {
				low[0] += 0.05 * (l[i] - low[0])
				low[1] += 0.05 * (r[i] - low[1])
				a, b := l[i]-low[0], r[i]-low[1]
				l[i], r[i] = low[0]+b, low[1]+a
			}
		}},
	} {
		if _, all := editedAt(t, 6, "", 3, tt.do); all > 0 {
			t.Errorf("%s: %d findings", tt.name, all)
		}
	}
}

// A channel that drops is named where it drops, to the end of what is known of it.
func TestDroppedToTheEnd(t *testing.T) {
	x := wideSong(1)
	scale(x[1][sec(15.3):], 0.6)
	got := run(x, testRate, testGrid)
	if len(got) != 1 || got[0].Kind != reason.WeakPart || math.Abs(got[0].At-15.3) > 0.001 || math.Abs(got[0].Figure-4.44) > 0.8 {
		t.Errorf("4.4 dB from 15.3 s on: %+v", got)
	}
}

// Edits on the beat are the arrangement's, unless one channel is upside down, and more than
// editMost its style; expected by the constants' own words.
func TestEditsThatAreMeant(t *testing.T) {
	at := func(what int, gain float64, seconds ...float64) *Meter {
		m := New(testRate, 2)
		for _, s := range seconds {
			m.edits.found = append(m.edits.found, edit{at: int64(sec(s)), what: what, gain: gain, behind: sidesBehind})
		}
		return m
	}
	behind := func(b float64, m *Meter) *Meter {
		for i := range m.edits.found {
			m.edits.found[i].behind = b
		}
		return m
	}
	plain := func(better float64, m *Meter) *Meter {
		for i := range m.edits.found {
			m.edits.found[i].better, m.edits.found[i].behind = better, 0
		}
		return m
	}
	other := func(m *Meter) *Meter { // with a change of one channel too small to be named
		m.edits.found = append(m.edits.found, edit{at: int64(sec(30)), what: editLeft, gain: 0.95, better: 99})
		return m
	}
	// Blocks whose balance goes over to the left at every one.
	leant := still(200)
	for i := range leant {
		leant[i].rest, leant[i].top = 3*float64(i), 3*float64(i)
	}
	many := []float64{1.1, 2.1, 3.1, 4.1, 5.1, 6.1, 7.1, 8.1}
	for _, tt := range []struct {
		name string
		m    *Meter
		want int
	}{
		{"sides, off the beat", at(editSide, -1, 3.1, 9.1), 1},
		{"sides, once", at(editSide, -1, 3.1), 1},
		{"sides, as a crackle has it", behind(sidesBehind-1, at(editSide, -1, 3.1, 9.1)), 0},
		{"sides, 9 % louder", at(editSide, -1.09, 3.1, 9.1), 1},
		{"sides, 11 % louder", at(editSide, -1.11, 3.1, 9.1), 0},
		{"sides, 8 % softer", at(editSide, -1/1.09, 3.1, 9.1), 1},
		{"sides, 10 % softer", at(editSide, -1/1.11, 3.1, 9.1), 0},
		{"sides, from before alone, with no other edits", plain(sidesPlain, at(editSide, -1.2, 3.1, 9.1)), 1},
		{"sides, from before alone, but not so sure", plain(sidesPlain-1, at(editSide, -1.2, 3.1, 9.1)), 0},
		{"sides, from before alone, beside an edit of one channel", other(plain(sidesPlain, at(editSide, -1, 3.1, 9.1))), 0},
		{"sides, from both, beside an edit of one channel", other(at(editSide, -1, 3.1, 9.1)), 1},
		{"sides, once off the beat", at(editSide, -1, 3.1, 9), 1},
		{"sides, 7 ms off the beat", at(editSide, -1, 3.007, 9.007), 0},
		{"sides, 9 ms off the beat", at(editSide, -1, 3.009, 9.009), 1},
		{"sides, with another gain", at(editSide, -0.7, 3.1, 9.1), 0},
		{"sides, louder on the other", at(editSide, -1.3, 3.1, 9.1), 0},
		{"sides, eight times", at(editSide, -1, many...), 4},
		{"sides, nine times", at(editSide, -1, append(many, 9.1)...), 0},
		{"a drop of 3 dB", at(editRight, 0.708, 3.1), 1},
		{"a drop of 3 dB on the beat", at(editRight, 0.708, 3), 0},
		{"a drop of 1 dB", at(editLeft, 0.89, 3.1), 0},
		{"a rise", at(editLeft, 1.41, 3.1), 0},
	} {
		got := append(tt.m.exchanged(testGrid), tt.m.dropped(testGrid, leant)...)
		if len(got) != tt.want {
			t.Errorf("%s: %+v", tt.name, got)
		}
	}
	for others, want := range map[int]int{3: 1, 4: 0} {
		m := at(editSide, -1, 9.1)
		for k := range others {
			m.edits.found = append(m.edits.found, edit{at: int64(sec(8.11 + 0.6*float64(k))), what: editLeft, gain: 0.5})
		}
		if got := m.exchanged(testGrid); len(got) != want {
			t.Errorf("with %d others within a second: %+v", others, got)
		}
	}
	m := at(editLeft, 0.708, 3.1)
	m.edits.found = append(m.edits.found, edit{at: int64(sec(5.1)), what: editLeft, gain: 1.2}, edit{at: int64(sec(8.1)), what: editLeft, gain: 1.42})
	if got := m.dropped(testGrid, leant); len(got) != 1 || got[0].Until != 8.1 {
		t.Errorf("a drop that is taken back after 5 s: %+v", got)
	}
	// Of a drop of 3 dB the balance must show 1.2.
	for db, want := range map[float64]int{1.1: 0, 1.3: 1} {
		one := at(editRight, 0.708, 3.1)
		if got := one.dropped(testGrid, louder(still(200), 12, 200, db, db, db)); len(got) != want {
			t.Errorf("a drop of which the balance shows %.1f dB: %+v", db, got)
		}
	}
	if got := m.dropped(testGrid, still(200)); len(got) > 0 {
		t.Errorf("drops that the balance does not show: %+v", got)
	}
	if m.edits.more = true; len(m.dropped(testGrid, leant)) > 0 {
		t.Error("a track with more edits than are kept has drops")
	}
}

// One end of a part that is upside down was seen: the low end tells to which side it lies.
func TestOpposed(t *testing.T) {
	m := New(testRate, 2)
	for _, tt := range []struct {
		name             string
		from, to         int // blocks that are upside down
		at               float64
		wantFrom, wantTo float64
	}{
		{"seen where it begins", 40, 60, 10, 10, 15},
		{"seen where it ends", 40, 60, 15, 10, 15},
		{"not there", 0, 0, 10, 10, 10},
	} {
		ws := still(100)
		for i := tt.from; i < tt.to; i++ {
			ws[i].lowC = -ws[i].lowC
		}
		from, to := m.opposed(ws, tt.at*m.blocks.seconds*4)
		if unit := m.blocks.seconds * 4; math.Abs(from-tt.wantFrom*unit) > 1e-9 || math.Abs(to-tt.wantTo*unit) > 1e-9 {
			t.Errorf("%s: %g to %g", tt.name, from/unit, to/unit)
		}
	}
}

// The side's second difference by its definition, whole pairs over any cells.
func TestSideways(t *testing.T) {
	l, r := make([]float32, 128), make([]float32, 128)
	for i := range l {
		l[i], r[i] = float32(math.Sin(float64(i*i))), float32(math.Cos(float64(3*i)))
	}
	var s sideways
	u := func(i int) float64 {
		if i < 0 {
			return 0
		}
		return float64(l[2*i]) - float64(r[2*i]) + float64(l[2*i+1]) - float64(r[2*i+1])
	}
	for from := 0; from < len(l); from += 32 {
		cross, most := s.cell(l[from:from+32], r[from:from+32])
		wantCross, wantMost := 0.0, 0.0
		for i := from; i < from+32; i++ {
			wantCross += float64(l[i]) * float64(r[i])
		}
		for i := from / 2; i < (from+32)/2; i++ {
			d := u(i) - 2*u(i-1) + u(i-2)
			wantMost = max(wantMost, d*d)
		}
		if math.Abs(float64(cross)-wantCross) > 1e-4 || math.Abs(float64(most)-wantMost) > 1e-4 {
			t.Errorf("from %d: %g and %g, want %g and %g", from, cross, most, wantCross, wantMost)
		}
	}
}

// Of a part only the end was seen, where the right channel rises by 3 dB: the balance tells
// where it begins, if it moves by as much there and back.
func TestRise(t *testing.T) {
	for _, tt := range []struct {
		name  string
		moved float64 // dB, of the balance in blocks 40 to 60
		gain  float64
		want  bool
	}{
		{"3 dB", 3, 1.41, true}, {"4 dB", 4, 1.41, true}, {"6 dB", 6, 1.41, false}, {"1.9 dB", 2, 1.245, false},
		{"a hit on the right", 0, 1.41, false}, {"the left weaker", -3, 1.41, false},
	} {
		m := New(testRate, 2)
		ws := louder(still(120), 40, 60, tt.moved, tt.moved, tt.moved)
		m.edits.found = []edit{{at: int64(60 * m.blocks.seconds * testRate), what: editRight, gain: tt.gain}}
		got := m.dropped(Grid{}, ws)
		if len(got) == 1 != tt.want {
			t.Errorf("%s: %+v", tt.name, got)
			continue
		}
		if tt.want && (math.Abs(got[0].At-40*m.blocks.seconds) > 4*m.blocks.seconds || math.Abs(got[0].Until-60*m.blocks.seconds) > 1e-3 || math.Abs(got[0].Figure-2.98) > 0.01) {
			t.Errorf("%s: %+v", tt.name, got)
		}
	}
}

// What tells the same twice is named once.
func TestBeside(t *testing.T) {
	one := func(k reason.Kind, at, until float64) Finding { return Finding{Kind: k, At: at, Until: until} }
	found := []Finding{one(reason.WeakPart, 10, 20)}
	for _, tt := range []struct {
		more Finding
		want int
	}{
		{one(reason.WeakPart, 10.2, 19.9), 1}, {one(reason.WeakPart, 20.9, 20.9), 1}, {one(reason.WeakPart, 21.1, 30), 2},
		{one(reason.WeakPart, 3, 8.9), 2}, {one(reason.WeakPart, 3, 9.1), 1}, {one(reason.SwappedPart, 10, 20), 2},
	} {
		if got := beside(slices.Clone(found), []Finding{tt.more}); len(got) != tt.want {
			t.Errorf("%+v: %+v", tt.more, got)
		}
	}
}

// What grows from nearly nothing, or nearly stops, is no gain of a channel; and the list is
// bounded.
func TestEditsKept(t *testing.T) {
	e := newEdits(64)
	for _, gain := range []float64{0.39, -0.3, 2.6, -3} {
		e.keep(edit{at: 1, what: editLeft, gain: gain})
	}
	if len(e.found) > 0 {
		t.Errorf("%+v", e.found)
	}
	for i := range int64(maxEdits + 1) {
		e.keep(edit{at: i * 64, what: editLeft, gain: 0.7})
		e.keep(edit{at: i*64 + 63, what: editLeft, gain: 0.7}) // what the next cell shows of it
	}
	if len(e.found) != maxEdits || !e.more {
		t.Errorf("%d kept", len(e.found))
	}
}
