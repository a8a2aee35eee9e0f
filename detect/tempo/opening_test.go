package tempo

import (
	"math"
	"slices"
	"testing"
)

// sounds is an envelope of a millisecond a value, 1 from one value to another, of n values.
func sounds(from, to, n, limit int) *envelope {
	e := &envelope{step: 0.001, limit: limit, value: make([]float32, n)}
	for i := from; i < to; i++ {
		e.value[i] = 1
	}
	return e
}

// A piece opens with its first attack where that comes out of silence, or where it begins with the
// track and the end is silent; an excerpt, that begins and ends with sound, may begin anywhere.
// Attacks: of the onset curve, at 6 ms a value, the first at 0.6 s or at 0.
func TestOpening(t *testing.T) {
	at := func(values ...int) *analysis {
		a := &analysis{step: 0.006, total: make([]float64, 10000)}
		for i := 500; i < 10000; i += 50 {
			a.total[i] = 1
		}
		for _, i := range values {
			a.total[i] = 1
		}
		return a
	}
	tick := at(100) // a tick of vinyl, 0.09 of an attack, is none
	tick.total[20] = 0.09
	plateau := at(100, 101) // the first of two values alike
	soft := at(100)
	soft.total[100] = 0.11
	for _, a := range []*analysis{tick, soft} {
		for i := range a.total {
			a.total[i] *= 3 // whatever the scale
		}
	}
	rising := at(100)
	rising.total[99] = 0.5
	last := func(i int) *analysis { // the only peak
		a := &analysis{step: 0.006, total: make([]float64, 1500)}
		a.total[i] = 1
		return a
	}
	nothing := math.NaN()
	for _, c := range []struct {
		name string
		a    *analysis
		e    *envelope
		want float64
	}{
		{"after silence, ending with sound", at(100), sounds(600, 9000, 9000, 1e6), 0.6},
		{"from within sound", at(100), sounds(0, 8000, 9000, 1e6), nothing},
		{"from within sound that begins late", at(100), sounds(500, 8000, 9000, 1e6), nothing},
		{"at once, ending with silence", at(0), sounds(0, 8890, 9000, 1e6), 0},
		{"at once, ending with sound", at(0), sounds(0, 8950, 9000, 1e6), nothing},
		{"soon, ending with silence", at(15), sounds(90, 8000, 9000, 1e6), 0.09},
		{"soon, ending with sound", at(15), sounds(90, 9000, 9000, 1e6), nothing},
		{"at once, longer than the envelope", at(0), sounds(0, 9000, 9000, 9000), 0},
		{"after a tick", tick, sounds(600, 8000, 9000, 1e6), 0.6},
		{"flat", plateau, sounds(600, 8000, 9000, 1e6), 0.6},
		{"rising", rising, sounds(600, 8000, 9000, 1e6), 0.6},
		{"soft", soft, sounds(600, 8000, 9000, 1e6), 0.6},
		{"the last value but one", last(1498), sounds(8980, 9000, 9000, 1e6), 8.988},
		{"the last value, which may rise on", last(1499), sounds(8980, 9000, 9000, 1e6), nothing},
		{"no attack", &analysis{step: 0.006, total: make([]float64, 10000)}, sounds(600, 8000, 9000, 1e6), nothing},
		{"no sound", at(0), sounds(0, 0, 0, 1e6), nothing},
	} {
		if got := c.a.opening(c.e); !(math.Abs(got-c.want) < 1e-9) && !(math.IsNaN(got) && math.IsNaN(c.want)) {
			t.Errorf("%s: %.3f s, want %.3f", c.name, got, c.want)
		}
	}
}

// The opening speaks for the place it lies on within 20 ms, whichever beat of it, and for none where
// it is not known. At 120 BPM a bin is 500/96 ms: 3 of them are 15.6, 4 are 20.8.
func TestOpens(t *testing.T) {
	b := &reading{analysis: &analysis{start: 5, step: 0.006, total: make([]float64, 10000)}, pulse: pulse{hz: 2}}
	for _, c := range []struct {
		name   string
		opened float64
		at     []int
		want   []float64
	}{
		{"the first beat", 5.25, []int{0, 48, 24}, []float64{0, 2.5, 0}},
		{"the second", 5.5, []int{48, 0}, []float64{0, 2.5}},
		{"the third", 6, []int{48, 0}, []float64{0, 2.5}},
		{"near", 6.25, []int{45, 51, 44, 52}, []float64{2.5, 2.5, 0, 0}},
		{"before the first", 4.99, []int{0, 48}, []float64{2.5, 0}},
		{"before this part", 4.5, []int{0, 48}, []float64{0, 0}},
		{"not known", math.NaN(), []int{0, 48}, []float64{0, 0}},
	} {
		b.opened = c.opened
		if got := b.opens(c.at); !slices.Equal(got, c.want) {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
		}
	}
}

// Where two places half a beat or a quarter apart are as good the piece begins on the beat, unless
// drums, or chords that change, say otherwise by more than it counts.
func TestSettleByOpening(t *testing.T) {
	const half, quarter = foldBins / 2, foldBins / 4
	none := func(opened float64) *reading {
		return &reading{analysis: &analysis{step: 0.006, total: make([]float64, 10000), opened: opened}, pulse: pulse{hz: 2}}
	}
	chords := func(opened float64) *reading {
		b := chordsOn(0.25)
		b.opened = opened
		return b
	}
	against := -chordsOn(0.25).onThanBetween(0, half)
	on := chords(5.1)
	for _, c := range []struct {
		name   string
		b      *reading
		at     []int
		scores []float64
		want   int
	}{
		{"half a beat", none(0.25), []int{0, half}, []float64{2.4, 0}, half},
		{"drums know better", none(0.25), []int{0, half}, []float64{2.6, 0}, 0},
		{"a quarter", none(0.125), []int{0, half, quarter}, []float64{2.4, 1, 0}, quarter},
		{"chords weigh less", on, []int{0, half}, []float64{against - 2.5 + 0.05, 0}, 0},
		{"chords weigh more", on, []int{0, half}, []float64{against - 2.5 - 0.05, 0}, half},
		{"the rival of the opening", on, []int{half, 0}, []float64{drumsSure - 0.1, 0}, half},
	} {
		if got, _ := c.b.settle(barsOfNothing(), c.at, c.scores); got != c.want {
			t.Errorf("%s: %d, want %d", c.name, got, c.want)
		}
	}
}

// Chords on most sixteenths with a bass off the beat, without drums: half a beat off but for where
// they begin. An excerpt of them that begins half a beat later is not told where.
func TestFirstBeatByOpening(t *testing.T) {
	const bpm, offset = 171.1, 0.37
	x := song{groove: grooves["trance without drums"], bpm: bpm, seconds: 40, offset: offset, seed: 1}.render()
	if r := measure(x, synthRate); !(math.Abs(r.FirstBeat-offset) <= beatTolerance) {
		t.Errorf("first beat %.4f, want %.4f", r.FirstBeat, offset)
	}
	late := offset + 16.5*60/bpm
	from := int(late * synthRate)
	f := newFrontEnd(synthRate, len(x))
	f.write([][]float32{x[0][from : 30*synthRate], x[1][from : 30*synthRate]})
	if got := newAnalysis(&f.curve).opening(&f.fine); !math.IsNaN(got) {
		t.Errorf("an excerpt opens at %.3f s", got)
	}
}

// The chance of a place: 1 / (1 + exp -(0.5 + 0.72 l)) for a lead of l, of more than 6 as of 6.
func TestChanceOfPlace(t *testing.T) {
	for lead, want := range map[float64]float64{0: 0.6225, 2: 0.8744, 6: 0.9920, 7: 0.9920, math.Inf(1): 0.9920} {
		if got := chanceOfPlace(lead); math.Abs(got-want) > 1e-4 {
			t.Errorf("lead %v: %.4f, want %.4f", lead, got, want)
		}
	}
}

// The lead of the place that is taken: over that half a beat off by drums, the opening and, where
// the drums are not sure, the chords; over others by drums and the opening; the least of them.
func TestLeadOfPlace(t *testing.T) {
	const half, quarter = foldBins / 2, foldBins / 4
	on := chordsOn(0)
	by, back := on.onThanBetween(0, half), -on.onThanBetween(half, 0)
	opened := chordsOn(0)
	opened.opened = opened.start
	off := chordsOn(0)
	off.opened = off.start + 0.25
	none := &reading{analysis: &analysis{step: 0.006, opened: math.NaN()}, pulse: pulse{hz: 2}}
	for _, c := range []struct {
		name   string
		b      *reading
		at     []int
		scores []float64
		bin    int
		lead   float64
	}{
		{"one place", on, []int{7}, []float64{1}, 7, math.Inf(1)},
		{"drums and chords", on, []int{0, half}, []float64{3, 1}, 0, 2 + by},
		{"drums that are sure", on, []int{0, half}, []float64{6, 1}, 0, 5},
		{"and the opening", opened, []int{0, half}, []float64{6, 1}, 0, 7.5},
		{"but not the opening", off, []int{0, half}, []float64{6, 1}, 0, 2.5},
		{"against the drums", on, []int{0, half}, []float64{1, 1.2}, 0, back - 0.2},
		{"a quarter is nearer", on, []int{0, half, quarter}, []float64{3, 1, 2.9}, 0, 0.1},
		{"of two quarters", on, []int{0, quarter, 3 * quarter}, []float64{3, 1, 2.5}, 0, 0.5},
		{"levels unknown", none, []int{0, half}, []float64{3, 1.5}, 0, 1.5},
	} {
		bin, lead := c.b.settle(barsOfNothing(), c.at, c.scores)
		if bin != c.bin || !(math.Abs(lead-c.lead) < 1e-9) && lead != c.lead {
			t.Errorf("%s: bin %d, lead %.3f, want %d, %.3f", c.name, bin, lead, c.bin, c.lead)
		}
	}
}

// Where drums and chords leave half a beat in doubt the beat is said to be less sure, and no bar
// is given; a house beat is sure.
func TestBeatInDoubt(t *testing.T) {
	even := groove{kick: "x.x.x.x.x.x.x.x.", hat: "x.x.x.x.x.x.x.x."}
	for name, c := range map[string]struct {
		g     groove
		doubt bool
	}{"all eighths alike": {even, true}, "house": {grooves["house with sixteenths"], false}} {
		x := song{groove: c.g, bpm: 120, seconds: 40, seed: 2}.render()
		for ch := range x { // an excerpt
			x[ch] = x[ch][int(5.3*synthRate) : 35*synthRate]
		}
		r := measure(x, synthRate)
		if c.doubt && !(r.BeatConfidence < 0.75 && math.IsNaN(r.FirstDownbeat)) || !c.doubt && !(r.BeatConfidence > 0.95) {
			t.Errorf("%s: %.2f sure, a bar at %.2f", name, r.BeatConfidence, r.FirstDownbeat)
		}
	}
}
