package continuity

import (
	"math"
	"slices"
	"testing"

	"dubgauge/detect/reason"
)

// pumped ducks all of a song to -60 dB on every beat, within 3 ms, and lets it back within
// a quarter of a second, as a deep side chain does.
func pumped() [][]float32 {
	x := song(1)
	for i := range x[0] {
		in := math.Mod(float64(i)/testRate, 0.5)
		g := math.Max(0.001, math.Max(1-in/0.003, math.Min(1, in*in*16)))
		for c := range x {
			x[c][i] *= float32(g)
		}
	}
	return x
}

// panned moves a song from side to side between 8 and 16 s, once every two seconds: as a
// sine, or at once on the beat.
func panned(depth float64, hard bool) [][]float32 {
	x := wideSong(1)
	for i := sec(8); i < sec(16); i++ {
		g := math.Sin(math.Pi * float64(i-sec(8)) / testRate)
		if hard {
			g = math.Max(-1, math.Min(1, 20*g))
		}
		x[0][i] *= float32(math.Min(1, 1-depth*g))
		x[1][i] *= float32(math.Min(1, 1+depth*g))
	}
	return x
}

// swayed moves all of a song from side to side once in 4 s, its whole length.
func swayed(depth float64) [][]float32 {
	x := wideSong(1)
	for i := range x[0] {
		g := depth * math.Sin(2*math.Pi*float64(i)/testRate/4)
		x[0][i] *= float32(math.Min(1, 1-g))
		x[1][i] *= float32(math.Min(1, 1+g))
	}
	return x
}

// echoed adds echoes of the hats and the kick that change sides every dotted eighth.
func echoed() [][]float32 {
	x := wideSong(1)
	every := sec(0.1875)
	l, r := make([]float32, len(x[0])), make([]float32, len(x[0]))
	for i := every; i < len(l); i++ {
		l[i] = 0.6 * ((x[0][i-every]+x[1][i-every])/2 + r[i-every])
		r[i] = 0.6 * l[i-every]
	}
	for i := range l {
		x[0][i] += 0.4 * l[i]
		x[1][i] += 0.4 * r[i]
	}
	return x
}

// spoken puts a voice alone, that is cut in the middle of a vowel, before the song: a sum
// of harmonics of 120 Hz that swells and falls with its syllables, for two seconds.
func spoken() [][]float32 {
	x := song(1)
	for i := range sec(2) {
		at := float64(i) / testRate
		v := 0.0
		for h := 1.0; h < 20; h++ {
			v += math.Sin(2*math.Pi*120*h*at+h) / h
		}
		syllable := math.Abs(math.Cos(math.Pi * 2.3 * at))
		x[0][i], x[1][i] = float32(0.15*v*syllable), float32(0.15*v*syllable)
	}
	return x
}

// What moves in a mix on purpose is no fault, and the fault beside it is found in the same
// music.
func TestMusicThatMoves(t *testing.T) {
	late := Grid{BPM: 120, FirstBeat: 6, Confidence: 1} // a voice has no beat
	swap := func(x [][]float32) [][]float32 {
		for i := sec(7.083); i < sec(14.31); i++ {
			x[0][i], x[1][i] = x[1][i], x[0][i]
		}
		return x
	}
	down := func(x [][]float32) [][]float32 { scale(x[1], 0.708); return x }
	weak := func(x [][]float32) [][]float32 { scale(x[1][sec(2.083):sec(7.31)], 0.708); return x }
	for _, tt := range []struct {
		name string
		x    [][]float32
		grid Grid
		want []reason.Kind
	}{
		{"pumping", pumped(), testGrid, nil},
		{"pumping, and a hole off the beat", both(pumped(), 7.31, 7.36, zero), testGrid, []reason.Kind{reason.Hole}},
		{"panned as a sine", panned(0.5, false), testGrid, nil},
		{"panned on the beat", panned(0.3, true), testGrid, nil},
		{"panned as a sine, and a channel 3 dB down before that", weak(panned(0.5, false)), testGrid, []reason.Kind{reason.WeakPart}},
		{"panned to and fro once in 4 s", swayed(0.6), testGrid, nil},
		{"a channel 3 dB down throughout", down(song(1)), testGrid, []reason.Kind{reason.WeakChannel}},
		{"echoes from side to side", echoed(), testGrid, nil},
		{"echoes from side to side, and the channels swapped", swap(echoed()), testGrid, []reason.Kind{reason.SwappedPart}},
		{"a voice that is cut", cut(spoken(), 0, 22.5), late, []reason.Kind{reason.StartsInside}},
		{"a voice that is cut on the beat", cut(spoken(), 0, 22.5), testGrid, nil},
		{"music that is cut off the beat", cut(song(1), 3.31, 23), beatAt(0.19), []reason.Kind{reason.CutStart}},
	} {
		got := run(tt.x, testRate, tt.grid)
		if kinds := kindsOf(got); !slices.Equal(kinds, tt.want) {
			t.Errorf("%s: found %v, want %v: %+v", tt.name, kinds, tt.want, got)
		}
	}
}

// A start is one in the middle of sound where one of its first samples says so, though the
// sound is soft just then; and where nothing is before it.
func TestFirstSamples(t *testing.T) {
	first := func(level float32) [][]float32 { // the first 2 ms are soft but for one sample
		x := cut(song(1), 3.31, 23)
		for c := range x {
			scale(x[c][:sec(0.002)], 0.05)
			x[c][0] = level
		}
		return x
	}
	for _, tt := range []struct {
		name string
		x    [][]float32
		grid Grid
		want []reason.Kind
	}{
		{"one sample is high", first(0.15), beatAt(0.19), []reason.Kind{reason.CutStart}},
		{"none is", first(0.01), beatAt(0.19), nil},
		{"one is, with no beat", first(0.15), Grid{}, []reason.Kind{reason.StartsInside}},
		{"none is, with no beat", first(0.01), Grid{}, nil},
		{"one is, with no beat, after silence", both(first(0.15), 0, 0.002, zero), Grid{}, nil},
	} {
		var kinds []reason.Kind
		for _, f := range run(tt.x, testRate, tt.grid) {
			if f.At < 1 {
				kinds = append(kinds, f.Kind)
			}
		}
		if !slices.Equal(kinds, tt.want) {
			t.Errorf("%s: %v, want %v", tt.name, kinds, tt.want)
		}
	}
}

// With no beat a repeat is a note; a track that repeats itself often is made so.
func TestRepeatsWithNoBeat(t *testing.T) {
	repeated := func(times int) [][]float32 {
		x := song(1)
		for k := range times {
			at := 4.083 + 3*float64(k)
			for c := range x {
				copy(x[c][sec(at+0.31):sec(at+0.62)], x[c][sec(at):sec(at+0.31)])
			}
		}
		return x
	}
	for times, want := range map[int]int{1: 1, 3: 3, 4: 0} {
		found := 0
		for _, f := range run(repeated(times), testRate, Grid{}) {
			if f.Kind == reason.RepeatUnsure {
				found++
			}
		}
		if found != want {
			t.Errorf("%d repeats: %d notes, want %d", times, found, want)
		}
	}
}

// A quarter of the blocks may lean to the other side by half as much, and no more; blocks in which
// nothing sounds do not count.
func TestSways(t *testing.T) {
	blocks := func(same, other int, by float64) (ws []weigh) {
		for i := range same + other {
			w := weigh{heard: true, rest: 3}
			if i < other {
				w.rest = by
			}
			ws = append(ws, w, weigh{rest: -9})
		}
		return ws
	}
	for _, tt := range []struct {
		name string
		ws   []weigh
		db   float64
		want bool
	}{
		{"all on one side", blocks(40, 0, 0), 3, false},
		{"a quarter the other way", blocks(30, 10, -1.6), 3, false},
		{"more than that", blocks(29, 11, -1.6), 3, true},
		{"not by half", blocks(20, 20, -1.4), 3, false},
		{"the left the weaker", blocks(29, 11, -1.6), -3, true},
		{"nothing heard", nil, 3, false},
	} {
		if got := sways(tt.ws, tt.db); got != tt.want {
			t.Errorf("%s: %v", tt.name, got)
		}
	}
}
