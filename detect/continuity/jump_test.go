package continuity

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"dubgauge/detect/reason"
)

// drums are 48 s at a tempo: a kick on the beat, a hat off it, noise that never rests.
// Each hit lies late by what push gives, in seconds.
func drums(bpm float64, push func(hit int) float64) []float32 {
	rng := rand.New(rand.NewPCG(3, 3))
	x := make([]float32, sec(48))
	for i := range x {
		x[i] = float32(0.004 * rng.NormFloat64())
	}
	for hit := 0; ; hit++ {
		at := sec(float64(hit)*30/bpm + push(hit))
		if at+sec(0.1) > len(x) {
			return x
		}
		for i := range sec(0.1) {
			g := 0.5 * math.Exp(-float64(i)/sec64(0.02))
			if hit%2 == 1 {
				g *= 0.4
			}
			x[max(0, at)+i] += float32(g * rng.NormFloat64())
		}
	}
}

func sec64(s float64) float64 { return s * testRate }

func steady(int) float64 { return 0 }

// A piece that is missing, or there twice, moves the beat off its sixteenths; edits don't,
// nor is a tempo that changes or players who drag a jump. A sixteenth at 120 BPM is 125 ms.
func TestJumps(t *testing.T) {
	left := func(from, to float64) []float32 {
		return slices.Delete(drums(120, steady), sec(from), sec(to))
	}
	for _, tt := range []struct {
		name string
		x    []float32
		grid Grid
		want float64 // seconds off, 0 for none
	}{
		{"as it is", drums(120, steady), testGrid, 0},
		{"310 ms missing", left(24, 24.31), testGrid, 0.060},
		{"310 ms missing, no beat known", left(24, 24.31), Grid{BPM: 120, Confidence: gridConfidence / 2}, 0},
		{"290 ms twice", slices.Insert(drums(120, steady), sec(24), drums(120, steady)[sec(23.71):sec(24)]...), testGrid, 0.040},
		{"a bar missing", left(24, 26), testGrid, 0},
		{"a sixteenth missing", left(24, 24.125), testGrid, 0},
		{"a sixteenth and 5 ms missing", left(24, 24.130), testGrid, 0},
		{"a sixteenth and 7 ms missing", left(24, 24.132), testGrid, 0.007},
		{"a sixteenth and 9 ms missing", left(24, 24.134), testGrid, 0.009},
		{"a sixteenth and 20 ms missing", left(24, 24.145), testGrid, 0.020},
		{"310 ms missing 8 s before the end", left(40, 40.31), testGrid, 0},
		{"310 ms missing, a tempo that is off by 5 ms in 8 s", left(24, 24.31), Grid{BPM: 120.075, Confidence: 1}, 0.060},
		{"30 ms missing, a tempo that is off by 13 ms in 8 s", left(24, 24.155), Grid{BPM: 120.195, Confidence: 1}, 0},
		{"30 ms missing, a tempo that is off by 8 ms in 8 s", left(24, 24.155), Grid{BPM: 120.12, Confidence: 1}, 0.030},
		{"30 ms missing, a tempo that is off by 5 ms in 8 s", left(24, 24.155), Grid{BPM: 120.075, Confidence: 1}, 0.030},
		{"faster from a place on", append(drums(120, steady)[:sec(24)], drums(123, steady)[:sec(24)]...), testGrid, 0},
		{"triplets", drums(180, steady), testGrid, 0},
		{"players who drag, all the time", drums(120, func(hit int) float64 { return 0.004 * float64(hit) }), testGrid, 0},
		{"every bar off by another bit", drums(120, func(hit int) float64 { return 0.05 * math.Sin(float64(hit/8)) }), testGrid, 0},
		{"from there on each hit anywhere", drums(120, func(hit int) float64 {
			if hit < 96 {
				return 0
			}
			return 0.12 * math.Sin(float64(hit*hit))
		}), testGrid, 0},
		{"nothing", make([]float32, sec(48)), testGrid, 0},
	} {
		var got []Finding
		for _, f := range run([][]float32{tt.x}, testRate, tt.grid) {
			if f.Kind == reason.Jump {
				got = append(got, f)
			}
		}
		switch {
		case tt.want == 0 && len(got) > 0:
			t.Errorf("%s: %+v", tt.name, got)
		case tt.want > 0 && (len(got) != 1 || math.Abs(got[0].Figure-tt.want) > 0.006 || math.Abs(got[0].At-24) > 1):
			t.Errorf("%s: %+v, want %.0f ms at 24 s", tt.name, got, 1000*tt.want)
		}
	}
}

// The rhythm must be known on both sides, and go on beyond.
func TestJumpAt(t *testing.T) {
	hits := func(bins ...int) (p phases) {
		for _, b := range bins {
			p[b]++
		}
		return p
	}
	// often has so many hits in a place of each sixteenth, and so many in another.
	often := func(a, n, b, m int) (p phases) {
		for k := 0; k < phaseBins; k += phaseBins / 4 {
			p[k+a] += float64(n)
			p[k+b] += float64(m)
		}
		return p
	}
	var flat phases
	for _, tt := range []struct {
		name                          string
		beyond, before, after, behind phases
		want                          float64
	}{
		{"by half a sixteenth", hits(0), hits(0), hits(12), hits(12), 0.0625},
		{"another rhythm beyond", hits(0, 32, 64), hits(0), hits(12), hits(12), 0.0625}, // likeness 0.58
		{"another rhythm behind", hits(0), hits(0), hits(12), hits(12, 44, 76), 0.0625},
		{"another rhythm on both sides", hits(0, 32, 64), hits(0), hits(12), hits(12, 44, 76), 0},
		{"a rhythm beyond with little in common", hits(0, 17, 34, 51, 68), hits(0), hits(12), hits(12), 0}, // 0.45
		{"nothing beyond", flat, hits(0), hits(12), hits(12), 0},
		{"nothing behind", hits(0), hits(0), hits(12), flat, 0},
		{"back again", hits(0), hits(0), hits(12), hits(0), 0},
		{"by a sixteenth", hits(0), hits(0), hits(24), hits(24), 0},
		{"by a sixteenth and 5 ms", hits(0), hits(0), hits(25), hits(25), 0},
		{"by a sixteenth and 11 ms", hits(0), hits(0), hits(26), hits(26), 0.0104},
		{"by a sixteenth and 11 ms, and not quite alike", hits(0), hits(0, 0, 0, 32), hits(26, 26, 26, 58), hits(26), 0.0104},
		{"by a sixteenth and 11 ms, and less alike", hits(0), hits(0, 0, 0, 32, 32), hits(26, 26, 26, 58, 58), hits(26), 0},
		{"by half a sixteenth, and less alike", hits(0), hits(0, 0, 0, 32, 32), hits(12, 12, 12, 44, 44), hits(12), 0.0625},
		{"by a sixteenth and 16 ms", hits(0), hits(0), hits(27), hits(27), 0.0156},
		{"by a sixteenth and 21 ms", hits(0), hits(0), hits(28), hits(28), 0.0208},
		{"of what fits better elsewhere beyond", hits(0, 0, 32, 64), hits(0, 32, 32, 64), hits(12, 44, 76), hits(12, 44, 76), 0},
		{"to where it had less before", often(0, 5, 12, 3), often(0, 5, 12, 3), often(12, 5, 0, 3), often(12, 5, 0, 3), 0},
		{"in part", hits(0), hits(0), hits(0, 12), hits(0, 12), 0},
	} {
		var slots []phases
		for _, p := range []phases{tt.beyond, tt.before, tt.after, tt.behind} {
			for range jumpSlots {
				slots = append(slots, p)
			}
		}
		slots = slices.Insert(slots, 2*jumpSlots, flat) // the jump lies in a slot of its own
		if got := jumpAt(slots, 2*jumpSlots, 0.5); math.Abs(math.Abs(got.seconds)-tt.want) > 0.001 {
			t.Errorf("%s: %+v, want %.1f ms", tt.name, got, 1000*tt.want)
		}
	}
}

// A jump needs jumpSlots and jumpBeyond of the rhythm on both sides of its own slot.
func TestJumpNearTheEnds(t *testing.T) {
	for _, tt := range []struct {
		before, after int
		want          bool
	}{{12, 12, true}, {11, 12, false}, {12, 11, false}} {
		slots := make([]phases, tt.before+1+tt.after)
		for i := range slots {
			slots[i][0]++
			if i > tt.before {
				slots[i] = phases{12: 1}
			}
		}
		if got := jumpAt(slots, tt.before, 0.5); got.better > 0 != tt.want {
			t.Errorf("%d and %d slots: %+v", tt.before, tt.after, got)
		}
	}
}

// Two jumps are two, more the track's style.
func TestTwoJumps(t *testing.T) {
	x := append(drums(120, steady), drums(120, steady)...)
	x = slices.Delete(x, sec(60), sec(60.31))
	x = slices.Delete(x, sec(30), sec(30.31))
	jumps := func() (at []float64) {
		for _, f := range run([][]float32{x}, testRate, testGrid) {
			if f.Kind == reason.Jump {
				at = append(at, f.At)
			}
		}
		return at
	}
	if at := jumps(); len(at) != 2 || math.Abs(at[0]-30) > 1 || math.Abs(at[1]-59.7) > 1 {
		t.Errorf("%v", at)
	}
	x = slices.Delete(x, sec(80), sec(80.31))
	if at := jumps(); len(at) != 0 {
		t.Errorf("of three jumps: %v", at)
	}
}

// A jump stands out from what the beat does elsewhere, in at least ten slots, when it is
// three times as much: bins are 5.2 ms of a beat of half a second.
func TestStands(t *testing.T) {
	at := func(bin, n int) []phases {
		var p phases
		p[bin] = 1
		return slices.Repeat([]phases{p}, n)
	}
	moving := func(by, times int) (out []phases) { // to and fro every second slot of nine
		for k := range times {
			out = append(out, at(by*(k%2), 9)...)
		}
		return append(out, at(0, 40)...)
	}
	for _, tt := range []struct {
		name  string
		slots []phases
		all   []jump
		want  bool
	}{
		{"a steady beat", moving(0, 8), []jump{{slot: 90}}, true},
		{"one that moves by 5 ms", moving(1, 8), []jump{{slot: 90}}, true},
		{"one that moves by 16 ms", moving(3, 8), []jump{{slot: 90}}, false},
		{"one that moves by 16 ms in one place", append(at(0, 60), at(3, 100)...), []jump{{slot: 140}}, true},
		{"one that moves by 16 ms beside the jumps alone", append(at(0, 60), at(3, 60)...), []jump{{slot: 60}, {slot: 100}}, true},
		{"one that moves by 16 ms in less than ten slots", append(at(0, 12), at(3, 30)...), []jump{{slot: 33}}, true},
		{"one that moves by 16 ms in ten slots", append(at(0, 12), at(3, 30)...), []jump{{slot: 34}}, false},
	} {
		if got := stands(tt.slots, tt.all, 0.031, 0.5); got != tt.want {
			t.Errorf("%s: %v", tt.name, got)
		}
	}
}

// What begins is a rise of the differences from sample to sample, in steps of 0.1 dB, of
// all channels together, from -75 dBFS on and by 25 dB at most.
func TestOnsets(t *testing.T) {
	o := newOnsets(testRate, 64)
	if o.perFrame != 4 || math.Abs(o.seconds-256./testRate) > 1e-9 {
		t.Fatalf("%d cells, %g s", o.perFrame, o.seconds)
	}
	frame := func(db float64) {
		e := float32(64 * math.Pow(10, db/10))
		for range 4 {
			o.cell(&[2]cell{{slope: e / 2}, {slope: e / 2}}, 64)
		}
	}
	for _, db := range []float64{-90, -80, -59.95, -53, -70, -20, -21, -19.95} {
		frame(db)
	}
	if want := []uint8{0, 0, 150, 69, 0, 250, 0, 10}; !slices.Equal(o.rises, want) {
		t.Errorf("%v, want %v", o.rises, want)
	}
	for range maxOnsets {
		frame(-20)
	}
	if len(o.rises) != maxOnsets {
		t.Errorf("%d kept", len(o.rises))
	}
}

// Where the rhythm changes beside a jump, all of the track tells it: 12 is half a sixteenth.
func TestWholeJump(t *testing.T) {
	of := func(n int, bins ...int) (out []phases) {
		var p phases
		for _, b := range bins {
			p[b]++
		}
		return slices.Repeat([]phases{p}, n)
	}
	for _, tt := range []struct {
		name  string
		parts [][]phases
		want  float64
		at    int
	}{
		{"other hits beside it", [][]phases{of(30, 0), of(8, 0, 0, 40, 64), of(9, 12, 12, 30, 80), of(30, 12)}, 0.0625, 38},
		{"none", [][]phases{of(30, 0), of(8, 0, 0, 40, 64), of(9, 0, 0, 30, 80), of(30, 0)}, 0, -1},
		{"by 5 ms", [][]phases{of(30, 0), of(8, 0, 0, 40, 64), of(9, 1, 1, 30, 80), of(30, 1)}, 0, -1},
		{"a rhythm that is there twice", [][]phases{of(30, 0, 0, 12), of(30, 12, 12, 0)}, 0, -1},
		{"too near the end", [][]phases{of(40, 0), of(6, 12)}, 0, -1},
		{"too near the start", [][]phases{of(6, 0), of(40, 12)}, 0, -1},
		{"12 s from both ends", [][]phases{of(12, 0), of(1, 0), of(12, 12)}, 0.0625, 12},
		{"behind a pause of 8 s", [][]phases{of(40, 0), of(8), of(40, 12)}, 0, -1},
		{"behind one of 2 s", [][]phases{of(40, 0), of(2), of(40, 12)}, 0.0625, 40},
		{"nothing", [][]phases{of(60)}, 0, -1},
	} {
		j, at := wholeJump(slices.Concat(tt.parts...), 0.5), -1
		if j.better > 0 {
			at = j.slot
		}
		if math.Abs(math.Abs(j.seconds)-tt.want) > 1e-3 || at != tt.at && !(at >= 0 && at == tt.at-1) {
			t.Errorf("%s: %+v at %d, want %.4f at %d", tt.name, j, at, tt.want, tt.at)
		}
	}
	before, after := of(1, 0)[0], of(1, 12)[0]
	for _, tt := range []struct {
		last, next []phases
		want       bool
	}{
		{of(12, 0), of(12, 12), true}, {of(12, 12), of(12, 12), false}, {of(12, 0), of(12, 0), false}, {of(12, 6), of(12, 12), false},
		{append(of(8, 0), of(4, 12)...), of(12, 12), true}, {append(of(7, 0), of(5, 12)...), of(12, 12), false},
	} {
		if j := sides(before.even(), after.even(), tt.last, tt.next, 0.5); j.better > 0 != tt.want {
			t.Errorf("%v and %v beside it: %+v", tt.last[11][:13], tt.next[11][:13], j)
		}
	}
}
