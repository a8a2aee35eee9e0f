package continuity

import (
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"dubgauge/detect/reason"
)

// noiseOf fills with noise of a level in dBFS, which falls by so many dB to the end.
func noiseOf(level, falls float64) func([]float32) {
	rng := rand.New(rand.NewPCG(4, 9))
	return func(x []float32) {
		for i := range x {
			x[i] = float32(math.Pow(10, (level-falls*float64(i)/float64(len(x)))/20) * rng.NormFloat64())
		}
	}
}

func held(x []float32) {
	for i := range x {
		x[i] = x[0]
	}
}

// A gap that is filled with noise or with one sample is a hole; a stop over noise, noise that
// is near the music, a tail and a style are none. Beats of song lie on whole and half seconds.
func TestFilled(t *testing.T) {
	one := func(x [][]float32, from, to float64, f func([]float32)) [][]float32 {
		f(x[1][sec(from):sec(to)])
		return x
	}
	holes := func(n int) [][]float32 {
		x := song(1)
		for k := range n {
			at := 4.07 + 2.713*float64(k)
			both(x, at, at+0.1+0.07*float64(k), noiseOf(-60, 0))
		}
		return x
	}
	quietly := func(db float64) [][]float32 { // 2 s of the song, with a hole in it
		return both(both(song(1), 9, 11, func(x []float32) { scale(x, float32(math.Pow(10, db/20))) }), 10.07, 10.4, noiseOf(-68, 0))
	}
	for _, tt := range []struct {
		name  string
		x     [][]float32
		want  []reason.Kind
		words string
	}{
		{"noise of -60 dBFS", both(song(1), 10.07, 10.4, noiseOf(-60, 0)), []reason.Kind{reason.Hole}, "noise of -60 dBFS"},
		{"noise of -50 dBFS", both(song(1), 10.07, 10.4, noiseOf(-50, 0)), []reason.Kind{reason.Hole}, "noise of -50 dBFS"},
		{"noise of -80 dBFS", both(song(1), 10.07, 10.4, noiseOf(-80, 0)), []reason.Kind{reason.Hole}, "noise of -80 dBFS"},
		{"noise of -42 dBFS", both(song(1), 10.07, 10.4, noiseOf(-42, 0)), nil, ""},
		{"noise for 22 ms", both(song(1), 10.07, 10.092, noiseOf(-60, 0)), []reason.Kind{reason.Hole}, "22 ms"},
		{"noise for 12 ms", both(song(1), 10.07, 10.082, noiseOf(-60, 0)), nil, ""},
		{"noise for 3.4 s", both(song(1), 10.07, 13.47, noiseOf(-60, 0)), []reason.Kind{reason.Hole}, "3.4 s"},
		{"noise for 4.4 s", both(song(1), 10.07, 14.47, noiseOf(-60, 0)), nil, ""},
		{"a sample that is held", both(song(1), 10.07, 10.4, held), []reason.Kind{reason.Hole}, "one sample that is held"},
		{"a sample that is held for two beats", both(song(1), 10, 11, held), []reason.Kind{reason.Hole}, "one sample that is held"},
		{"a stop of two beats over noise", both(song(1), 10, 11, noiseOf(-60, 0)), nil, ""},
		{"a sample that is held for 50 ms, and noise for a beat", both(both(song(1), 10, 10.5, noiseOf(-50, 0)), 10, 10.05, held), nil, ""},
		{"a slow wave", both(song(1), 10.07, 10.4, func(x []float32) { // of 2.5 kHz down to 500 Hz the differences have 0.13 to 0.005
			for i := range x {
				x[i] = float32(1e-3 * math.Sin(2*math.Pi*500*float64(i)/testRate))
			}
		}), nil, ""},
		{"a fast one", both(song(1), 10.07, 10.4, func(x []float32) {
			for i := range x {
				x[i] = float32(1e-3 * math.Sin(2*math.Pi*2500*float64(i)/testRate))
			}
		}), []reason.Kind{reason.Hole}, "noise"},
		{"noise in one channel", one(song(1), 10.07, 10.4, noiseOf(-60, 0)), []reason.Kind{reason.Hole}, "in the right channel"},
		{"noise in one channel for 0.9 s", one(song(1), 10.07, 10.97, noiseOf(-60, 0)), []reason.Kind{reason.DeadPart}, "the right channel is dead"},
		{"a tail of 30 dB a second", both(song(1), 10.07, 10.57, noiseOf(-52, 15)), nil, ""},
		{"four", holes(4), []reason.Kind{reason.Hole, reason.Hole, reason.Hole, reason.Hole}, "noise"},
		{"five", holes(5), nil, ""},
		{"10 dB under the loud parts", quietly(-10), []reason.Kind{reason.Hole}, "noise"},
		{"27 dB under the loud parts", quietly(-27), nil, ""},
		{"behind a fade of 40 ms", both(both(song(1), 10.03, 10.07, func(x []float32) {
			for i := range x {
				x[i] *= float32(math.Pow(10, -2.5*float64(i)/float64(len(x))))
			}
		}), 10.07, 10.4, noiseOf(-60, 0)), nil, ""},
	} {
		got := run(tt.x, testRate, testGrid)
		if !slices.Equal(kindsOf(got), tt.want) || len(got) > 0 && !strings.Contains(got[0].Detail, tt.words) {
			t.Errorf("%s: %v, want %v: %+v", tt.name, kindsOf(got), tt.want, got)
		}
	}
}

// Where the gap begins and ends is found to the sample, but for what lies under the noise.
func TestFilledPlace(t *testing.T) {
	for _, fill := range []func([]float32){noiseOf(-60, 0), held} {
		x := song(1)
		both(x, 10.07, 10.4, fill)
		got := run(x, testRate, testGrid)
		if len(got) != 1 || math.Abs(got[0].At-10.07) > 0.0005 || math.Abs(got[0].Until-10.4) > 0.0005 {
			t.Errorf("%+v, want one from 10.07 to 10.4 s", got)
		}
	}
}

// What both sides have under the sound: 24 dB, and 20 right beside it.
func TestStandsOut(t *testing.T) {
	p := func(db float64) float64 { return math.Pow(10, db/10) }
	side := func(far, near float64) edge { return edge{far: p(far), near: p(near), jump: math.Sqrt(p(far)) / 2} }
	dull := side(-20, -22)
	dull.jump = 0
	for i, tt := range []struct {
		g    gap
		want bool
	}{
		{gap{level: p(-60), before: side(-20, -25), after: side(-20, -25)}, true},
		{gap{level: p(-60), before: side(-35, -36), after: side(-20, -25)}, true},
		{gap{level: p(-60), before: side(-37, -38), after: side(-20, -25)}, false},
		{gap{level: p(-60), before: side(-20, -25), after: side(-37, -38)}, false},
		{gap{level: p(-60), before: side(-35, -41), after: side(-20, -25)}, false},
		{gap{level: p(-20), held: true, before: side(-20, -25), after: side(-20, -25)}, true},
		{gap{level: p(-60), before: dull, after: side(-20, -25)}, true},
		{gap{level: p(-60), before: side(-20, -25), after: dull}, true},
		{gap{level: p(-60), before: dull, after: dull}, false},
	} {
		if got := tt.g.standsOut(); got != tt.want {
			t.Errorf("%d: %v", i, got)
		}
	}
}

// Noise goes no farther than 4.5 times its RMS, what is held than tiny off its sample.
func TestWithinTheFill(t *testing.T) {
	f := fills{}
	noise := f.within(0.3, 1e-6)
	f.gap.held = true
	one := f.within(0.3, 1e-6)
	for x, want := range map[float32][2]bool{0.0044: {true, false}, -0.0044: {true, false}, 0.0046: {false, false}, -0.0046: {false, false}, 0.30019: {false, true}, 0.29981: {false, true}, 0.30021: {false, false}, 0.29979: {false, false}} {
		if got := [2]bool{noise(x), one(x)}; got != want {
			t.Errorf("%v: %v", x, got)
		}
	}
}

// Dither of 16 bit, up to -85 dBFS, fills nothing: that is silence.
func TestFillIsMoreThanDither(t *testing.T) {
	for level, want := range map[float64]int{2e-9: 0, 4e-9: 1} {
		f := fills{}
		f.keep(gap{level: level, before: edge{far: 0.01}, after: edge{far: 0.01}})
		if len(f.found) != want {
			t.Errorf("%v: %d kept, want %d", level, len(f.found), want)
		}
	}
}

// Silence is no sample that is held, nor is one that gives way to noise.
func TestHeldAllTheWay(t *testing.T) {
	for i, c := range []struct {
		value float32
		last  cell
		held  bool
	}{{0.3, cell{energy: 5.76}, true}, {0, cell{energy: 1e-5, slope: 1e-5}, false}, {0.3, cell{energy: 1e-4, slope: 1e-3}, false}, {-0.3, cell{energy: 5.76}, true}} {
		f := newFills(testRate, 64)
		x := make([]float32, 64*(fillCells+1))
		for k := range x {
			x[k] = c.value
		}
		f.cell(&cell{energy: 64, slope: 64}, 64, -64)
		for k := range fillCells {
			at := int64(64 * (k + 1))
			if f.cell(&cell{energy: 64 * c.value * c.value}, 64, at) != (k == fillCells-1) {
				t.Fatalf("%d: a run of %d cells", i, k+1)
			}
		}
		f.begin(view{x, 0, 4032}, len(x))
		f.cell(&c.last, 64, int64(len(x)))
		f.end(int64(len(x)) + 64)
		if f.gap.held != c.held {
			t.Errorf("%d: held %v", i, f.gap.held)
		}
	}
}
