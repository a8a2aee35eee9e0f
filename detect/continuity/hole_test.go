package continuity

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"
)

// Edges as edgeOf measures them: cut within a sample; as an encoder leaves such a cut, at
// level 9 ms beside it and silent nearer to it; a tail, or a swell.
var (
	cutEdge  = edge{near: 1e-2, far: 1e-2, early: 1e-2, jump: 0.1, known: 4000}
	mp3Edge  = edge{near: 5e-7, far: 8e-3, early: 1e-2, jump: 1e-4, cut: 400, skirt: 1e-6, known: 4000}
	gateEdge = edge{near: 1e-8, far: 8e-3, early: 1e-2, jump: 1e-4, cut: 1100, skirt: 1e-6, known: 4000} // there 25 ms beside it
	dipEdge  = edge{near: 1e-3, far: 1e-2, early: 1e-2, jump: 0.1, cut: 400, known: 4000}                // a dip of 9 ms beside it
	rampEdge = edge{near: 2e-5, far: 8e-3, early: 1e-2, jump: 1e-4, cut: 250, known: 4000}               // 20 ms
	noteEdge = edge{near: 1e-8, far: 8e-3, early: 1e-2, jump: 1e-4, cut: 600, skirt: 1e-4, known: 4000}  // let go within 14 ms
	softEdge = edge{near: 1.1e-6, far: 1e-4, early: 1e-2, jump: 1e-4, cut: 3500, skirt: 1e-3, known: 4000}
	deadEdge = edge{near: 0.9e-6, far: 1e-4, early: 1e-2, jump: 1e-4, cut: 3500, skirt: 1e-3, known: 4000} // a dry drum that has died away
)

// The rules of isHole one by one. Beats lie on whole and half seconds.
func TestIsHole(t *testing.T) {
	unsure := Grid{BPM: 120, Confidence: gridConfidence / 2}
	none := Grid{BPM: math.NaN(), FirstBeat: math.NaN()}
	gone := softEdge // -43 dBFS, not at level any more
	gone.far, gone.near = 5e-5, 2e-5
	for _, tt := range []struct {
		name          string
		from, to      float64 // of what is under tiny
		before, after edge
		grid          Grid
		alone         bool
		want          bool
	}{
		{"cut, off the beat", 7.31, 7.51, cutEdge, cutEdge, testGrid, false, true},
		{"cut, begins on the beat", 7.5, 7.71, cutEdge, cutEdge, testGrid, false, true},
		{"cut, ends on the beat", 7.31, 7.5, cutEdge, cutEdge, testGrid, false, true},
		{"cut, on the beat", 7.5, 8, cutEdge, cutEdge, testGrid, false, false},
		{"cut, on a sixteenth", 7.5, 7.875, cutEdge, cutEdge, testGrid, false, false},
		{"cut, more than a beat and no whole eighths", 7.5, 8.125, cutEdge, cutEdge, testGrid, false, true},
		{"cut, half a sixteenth on the beat", 7.995, 8.0575, cutEdge, cutEdge, testGrid, false, true},
		{"cut, a sixteenth less 14 ms, both ends near the grid", 8.007, 8.118, cutEdge, cutEdge, testGrid, false, true},
		{"cut, a sixteenth less 15 ms", 8, 8.11, cutEdge, cutEdge, testGrid, false, true},
		{"cut, five sixteenths less 6 ms, both ends near the grid", 8.003, 8.622, cutEdge, cutEdge, testGrid, false, true},
		{"cut, five sixteenths less 4 ms", 8.002, 8.623, cutEdge, cutEdge, testGrid, false, true},
		{"cut, three sixteenths less 4 ms", 8.002, 8.373, cutEdge, cutEdge, testGrid, false, false},
		{"cut, three sixteenths less 6 ms", 8.003, 8.372, cutEdge, cutEdge, testGrid, false, true},
		{"cut on the beat behind a dip, a beat", 7.5, 8, dipEdge, cutEdge, testGrid, false, false},
		{"cut, two beats 15 ms late", 8.015, 9.015, cutEdge, cutEdge, testGrid, false, false},
		{"cut, two beats and 5 ms, 15 ms late", 8.015, 9.02, cutEdge, cutEdge, testGrid, false, true},
		{"cut, two beats 25 ms late", 8.025, 9.025, cutEdge, cutEdge, testGrid, false, true},
		{"cut, nine beats on the beat", 8, 12.5, cutEdge, cutEdge, testGrid, false, false},
		{"cut, twelve beats on the beat", 8, 14, cutEdge, cutEdge, testGrid, false, true},
		{"cut, on a beat that is not sure", 7.5, 8, cutEdge, cutEdge, unsure, false, false},
		{"cut, off a beat that is not sure", 7.5, 8.06, cutEdge, cutEdge, unsure, false, true},
		{"cut, no beat", 7.5, 8, cutEdge, cutEdge, none, false, true},
		{"cut before a swell, off the beat, alone", 7.31, 7.71, cutEdge, softEdge, testGrid, true, true},
		{"cut on the beat before a swell", 7.5, 7.71, cutEdge, softEdge, testGrid, false, true},
		{"a tail before a hit off the beat", 7.31, 7.71, softEdge, cutEdge, testGrid, false, true},
		{"a sound that has gone before a hit off the beat", 7.31, 7.71, gone, cutEdge, testGrid, false, false},
		{"a drum that has died away before a hit off the beat", 7.31, 7.71, deadEdge, cutEdge, testGrid, false, false},
		{"a cut before a drum that swells, off the beat", 7.31, 7.71, cutEdge, deadEdge, testGrid, false, true},
		{"a tail before a hit on the beat", 7.31, 8, softEdge, cutEdge, testGrid, false, false},
		{"a tail that begins on the beat before a hit off it", 7.5 + 3500./testRate, 8.06, softEdge, cutEdge, testGrid, false, false},
		{"a tail before a hit, no beat", 7.31, 7.41, softEdge, cutEdge, none, false, false},
		{"cut before a swell, no beat", 7.31, 7.41, cutEdge, softEdge, none, false, true},
		{"cut before a swell, long, no beat", 7.31, 7.81, cutEdge, softEdge, none, false, false},
		{"encoded, off the beat", 7.31, 7.71, mp3Edge, mp3Edge, testGrid, false, true},
		{"encoded, begins on the beat", 7.5 + 400./testRate, 7.71, mp3Edge, mp3Edge, testGrid, false, false},
		{"encoded, begins on the beat, alone", 7.5 + 400./testRate, 7.71, mp3Edge, mp3Edge, testGrid, true, true},
		{"encoded, ends on the beat, alone", 7.31, 8 - 400./testRate, mp3Edge, mp3Edge, testGrid, true, true},
		{"encoded, ends on the beat after a gate, alone", 7.31, 8 - 400./testRate, gateEdge, mp3Edge, testGrid, true, false},
		{"encoded, ends on the beat before a gate, alone", 7.31, 8 - 1100./testRate, mp3Edge, gateEdge, testGrid, true, false},
		{"a note that is let go off the beat", 7.31, 8, noteEdge, mp3Edge, testGrid, true, false},
		{"a gate of 20 ms off the beat", 7.31, 8, rampEdge, mp3Edge, testGrid, true, false},
		{"encoded, ends on the beat, among others", 7.31, 8 - 400./testRate, mp3Edge, mp3Edge, testGrid, false, false},
		{"encoded, two beats on the beat, alone", 7 + 400./testRate, 8 - 400./testRate, mp3Edge, mp3Edge, testGrid, true, false},
		{"encoded, two beats less 11 ms, alone", 7.006 + 400./testRate, 7.995 - 400./testRate, mp3Edge, mp3Edge, testGrid, true, false},
		{"encoded, two beats less 14 ms, alone", 7.007 + 400./testRate, 7.993 - 400./testRate, mp3Edge, mp3Edge, testGrid, true, true},
		{"encoded, shorter than a frame and its neighbours", 7.30, 7.345, mp3Edge, mp3Edge, testGrid, false, false},
		{"encoded, before a swell", 7.31, 7.71, mp3Edge, softEdge, testGrid, false, false},
		{"encoded, after a tail", 7.31, 7.71, softEdge, mp3Edge, testGrid, false, false},
		{"encoded, no beat", 7.31, 7.71, mp3Edge, mp3Edge, none, false, false},
		{"encoded, no beat, alone", 7.31, 7.71, mp3Edge, mp3Edge, none, true, true},
		{"encoded, no beat, a gate, alone", 7.31, 7.71, gateEdge, mp3Edge, none, true, false},
		{"encoded, a beat that is not sure", 7.31, 7.71, mp3Edge, mp3Edge, unsure, false, false},
	} {
		m := New(testRate, 1)
		g := &gap{start: int64(sec(tt.from)), end: int64(sec(tt.to)), before: tt.before, after: tt.after}
		if got := m.isHole(g, tt.grid, tt.alone, tt.alone); got != tt.want {
			t.Errorf("%s: %v, want %v", tt.name, got, tt.want)
		}
	}
}

// With no beat zeros between sounds at level are a hole, though one edge lies near a zero
// crossing of a low sound, if there are few gaps.
func TestHoleWithNoBeat(t *testing.T) {
	crossing := edge{near: 5e-4, far: 1e-2, early: 1e-2, jump: 0.05, cut: 66, known: 4000} // 13 dB down in 1.5 ms
	unsure := Grid{BPM: 120, Confidence: gridConfidence / 2}
	for _, tt := range []struct {
		name          string
		before, after edge
		zeros, alone  bool
		grid          Grid
		want          bool
	}{
		{"cut, to a zero crossing", cutEdge, crossing, true, true, Grid{}, true},
		{"a zero crossing, to a cut", crossing, cutEdge, true, true, Grid{}, true},
		{"from silence that is not digital", cutEdge, crossing, false, true, Grid{}, false},
		{"among others", cutEdge, crossing, true, false, Grid{}, false},
		{"before a swell", cutEdge, softEdge, true, true, Grid{}, false},
		{"after a tail", softEdge, cutEdge, true, true, Grid{}, false},
		{"on a beat that is not sure", crossing, cutEdge, true, true, unsure, false},
	} {
		g := &gap{start: int64(sec(7.5) + tt.before.cut), end: int64(sec(9.5) - tt.after.cut), before: tt.before, after: tt.after, zeros: tt.zeros}
		if got := New(testRate, 1).isHole(g, tt.grid, tt.alone, tt.alone); got != tt.want {
			t.Errorf("%s: %v", tt.name, got)
		}
	}
}

// Clicks and noise in a pause are no music that stops.
func TestHolesAreInMusic(t *testing.T) {
	loud := func(m *Meter, db float64) *Meter {
		m.blocks.list = append(m.blocks.list, block{power: [2]float32{float32(math.Pow(10, db/10)), 0}})
		return m
	}
	g := &gap{start: int64(sec(7.31)), end: int64(sec(7.51)), before: cutEdge, after: cutEdge} // at -20 dBFS
	for db, want := range map[float64]bool{0: true, 10.5: true, 11.5: false} {
		if got := loud(New(testRate, 1), db).isHole(g, testGrid, false, false); got != want {
			t.Errorf("loud parts at %.1f dBFS: %v", db, got)
		}
	}
	click := cutEdge
	click.early = 5e-5 // 23 dB down 40 ms later
	if New(testRate, 1).isHole(&gap{start: g.start, end: g.end, before: softEdge, after: click}, testGrid, false, false) {
		t.Error("a click after a tail")
	}
}

// Gaps of 40 ms and more are the track's style when there are more than four.
func TestFew(t *testing.T) {
	m := New(testRate, 1)
	gaps := make([]gap, 5)
	for i := range gaps {
		gaps[i] = gap{start: 0, end: int64(sec(0.0401))}
	}
	if m.few(gaps) || !m.few(gaps[:4]) {
		t.Error("five, or four")
	}
	gaps[0].end = int64(sec(0.039))
	if !m.few(gaps) {
		t.Error("four and a short one")
	}
}

// Channels whose gaps overlap by most of the longer one have one gap.
func TestMerged(t *testing.T) {
	m := New(testRate, 2)
	m.gaps[0].found = []gap{{start: 100, end: 200, zeros: true}, {start: 1000, end: 1100}}
	m.gaps[1].found = []gap{{start: 110, end: 205}, {start: 1050, end: 1150}}
	got := m.merged()
	if len(got) != 3 || got[0].start != 100 || got[0].end != 205 || got[0].channels != 3 || got[0].zeros || got[1].channels != 1 || got[2].channels != 2 {
		t.Errorf("%+v", got)
	}
}

// Gaps that come again in the same place of a sixteenth are the music's.
func TestRhythmic(t *testing.T) {
	m := New(testRate, 1)
	at := func(s ...float64) (out []gap) {
		for _, t := range s {
			out = append(out, gap{start: int64(sec(t)), end: int64(sec(t + 0.05))})
		}
		return out
	}
	for _, tt := range []struct {
		name string
		gaps []gap
		grid Grid
		want bool
	}{
		{"four in one place of a sixteenth", at(3.03, 4.155, 6.28, 9.53), testGrid, true},
		{"three of them", at(3.03, 4.155, 6.28), testGrid, false},
		{"four elsewhere each", at(3.03, 4.18, 6.33, 9.60), testGrid, false},
		{"three at even distances, no beat", at(3.03, 4.18, 5.33), Grid{}, true},
		{"three at odd distances, no beat", at(3.03, 4.18, 5.43), Grid{}, false},
	} {
		if got := m.rhythmic(tt.gaps, 0, tt.grid); got != tt.want {
			t.Errorf("%s: %v", tt.name, got)
		}
	}
}

// A sharp edge has level and a jump right beside the gap.
func TestEdges(t *testing.T) {
	x := make([]float32, 8000)
	for i := range x {
		x[i] = float32(0.2 * math.Cos(2*math.Pi*float64(i-4000)/200)) // at its height at 4000
	}
	v := view{x: x, edge: 3969}
	for _, e := range []edge{v.before(4001, testRate), v.after(4000, testRate)} {
		if !e.sharp() || !e.sounds() || math.Abs(e.jump-0.2) > 1e-3 || e.cut != 0 || math.Abs(e.far-0.02) > 1e-3 {
			t.Errorf("%+v", e)
		}
	}
	for _, e := range []edge{v.before(4050, testRate), v.after(4051, testRate)} { // near zero
		if e.jump > 0.02 || e.sharp() {
			t.Errorf("a cut at a zero crossing: %+v", e)
		}
	}
	for i := range x { // 20 dB down over 30 ms before the end
		if d := 5323 - i; d >= 0 && d < 1323 {
			x[i] *= float32(math.Pow(10, -float64(1323-d)/1323*1.5))
		}
	}
	if e := v.before(5323, testRate); e.sharp() || e.steep(testRate) || e.cut == 0 {
		t.Errorf("a note that is let go: %+v", e)
	}
	if !mp3Edge.steep(testRate) || mp3Edge.sharp() || softEdge.steep(testRate) || !cutEdge.steep(testRate) {
		t.Error("steep edges")
	}
}

// A track with more gaps than are kept is made of them; the words tell zeros from what is
// nearly nothing.
func TestManyGapsAndWords(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 8))
	x := song(1)
	for s := 1.0; s < 23.5; s += 0.007 + 0.003*rng.Float64() {
		both(x, s, s+0.0012+0.004*rng.Float64(), zero)
	}
	if got := run(x, testRate, testGrid); len(got) != 0 {
		t.Errorf("%d found, the first %+v", len(got), got[0])
	}
	for what, f := range map[string]func([]float32){
		"digital zeros": zero,
		"silence ": func(x []float32) { // but for its first five samples
			clear(x)
			for i := range 35 {
				x[i] = 0.2
			}
			for i := range 5 { // the places that are looked at are multiples of 32
				x[32*((sec(7.31)+31)/32)+32-sec(7.31)-1-i] = 1. / 32768
			}
		},
		"silence": func(x []float32) {
			for i := range x {
				x[i] = float32(i%3-1) / 32768
			}
		},
	} {
		got := run(both(song(1), 7.31, 7.51, f), testRate, testGrid)
		if len(got) != 1 || !strings.Contains(got[0].Detail, " ms of "+strings.TrimSpace(what)+" inside") {
			t.Errorf("%s: %+v", what, got)
		}
	}
}
