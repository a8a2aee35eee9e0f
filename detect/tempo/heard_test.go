package tempo

import (
	"math"
	"slices"
	"testing"
)

// A row of four of which three are heard carries on from its first to its last one.
func TestCarry(t *testing.T) {
	for _, c := range []struct{ heard, want string }{
		{"xx.x...x", "xxxx...."},
		{"xxx.....", "xxx....."},
		{"x..x.x..", "........"},
		{"....x.xx", "....xxxx"},
		{".....xxx", ".....xxx"},
		{"xx......", "........"},
	} {
		heard, carried := make([]bool, 8), make([]bool, 8)
		for i, v := range c.heard {
			heard[i] = v == 'x'
		}
		carry(carried, heard)
		got := ""
		for _, v := range carried {
			got += map[bool]string{true: "x", false: "."}[v]
		}
		if got != c.want {
			t.Errorf("%s: %s, want %s", c.heard, got, c.want)
		}
	}
}

const heardStep = 0.01 // seconds a value of the curves here

// clicksAt is an analysis of so many seconds with clicks in its low part.
func clicksAt(seconds float64, times ...float64) *analysis {
	a := &analysis{start: 1, step: heardStep, total: make([]float64, int(seconds/heardStep))}
	for p := range a.part {
		a.part[p] = make([]float64, len(a.total))
	}
	for _, at := range times {
		i := int(math.Round(at / heardStep))
		a.part[low][i], a.total[i] = 1, 1
	}
	return a
}

// row are times every so many seconds, from one to another.
func row(from, to, every float64) (times []float64) {
	for t := from; t < to-every/2; t += every {
		times = append(times, t)
	}
	return times
}

// Beats are named for the whole track, half a second apart; heard are those that are played,
// on the beat or half a beat later in one voice.
func TestHeard(t *testing.T) {
	for name, late := range map[string]float64{"on the beat": 0, "between": 0.25} {
		b := &reading{analysis: clicksAt(30, row(10.1+late, 20.1+late, 0.5)...), pulse: pulse{hz: 2}}
		beats := b.heard(0.1, 0.005)
		if len(beats) != 60 {
			t.Fatalf("%s: %d beats in 30 s at 120 BPM", name, len(beats))
		}
		for i, v := range beats {
			if want := 1.105 + 0.5*float64(i); math.Abs(v.At-want) > 1e-9 {
				t.Errorf("%s: beat %d at %.4f s, want %.4f", name, i, v.At, want)
			}
			if want := i >= 20 && i < 40; v.Heard != want {
				t.Errorf("%s: beat %d at %.1f s heard: %v", name, i, v.At, v.Heard)
			}
		}
	}
}

// Of a track whose tempo changes twice each side has its own beats.
func TestBeatsOfSides(t *testing.T) {
	times := slices.Concat(row(0.1, 20, 0.5), row(20.2, 40, 0.4), row(40.3, 60, 0.6))
	a := clicksAt(60, times...)
	var sides []side
	for i, every := range []float64{0.5, 0.4, 0.6} {
		from := 2000 * i
		sides = append(sides, side{from, from + 2000, reading{analysis: a.cut(from, from+2000), pulse: pulse{hz: 1 / every}}})
	}
	opening := grid{phase: 0.1}
	beats := sides[0].beats(sides, &opening)
	if len(beats) != len(times) {
		t.Fatalf("%d beats, want %d", len(beats), len(times))
	}
	for i, v := range beats {
		if math.Abs(v.At-1-times[i]) > heardStep || !v.Heard {
			t.Errorf("beat %d at %.3f s (%v), want %.3f", i, v.At, v.Heard, times[i]+1)
		}
	}
}

// Cymbals that play on to the first beat that sounds are of the drums: the beat is theirs from
// where they begin, a bar before at least; what a pause of a bar parts from it is not.
func TestFromCymbals(t *testing.T) {
	// 40 beats of half a second from 0.1 s on; sounding from beat 24, but for one that is by itself.
	from := func(beats []float64, late float64, alone ...int) int {
		a := clicksAt(20.1)
		for _, b := range beats {
			a.part[high][int(math.Round((0.1+b/2+late)/heardStep))] = 1
		}
		sounds := make([]bool, 40)
		for i := range sounds {
			sounds[i] = i >= 24 || slices.Contains(alone, i)
		}
		return (&reading{analysis: a, pulse: pulse{hz: 2}}).fromCymbals(0.1, sounds)
	}
	for _, c := range []struct {
		name string
		got  int
		want int
	}{
		{"on the beat", from(row(8, 40, 1), 0), 8},
		{"between", from(row(8, 39, 1), 0.25), 8},
		{"between those", from(row(8, 39, 1), 0.125), 24},
		{"a bar", from(row(20, 40, 1), 0), 20},
		{"less than a bar", from(row(21, 40, 1), 0), 24},
		{"a pause of three beats", from(append(row(4, 12, 1), row(15, 40, 1)...), 0), 4},
		{"a pause of a bar", from(append(row(4, 12, 1), row(16, 40, 1)...), 0), 16},
		{"three beats before the drums", from(row(8, 21, 1), 0), 8},
		{"a bar before them", from(row(8, 20, 1), 0), 24},
		{"every other beat", from(row(8, 40, 2), 0), 24},
		{"two beats that sound before them", from(row(8, 40, 1), 0, 6, 7), 6},
		{"one that sounds long before", from(row(8, 40, 1), 0, 3), 8},
		{"from the second on, and the first sounds", from(row(1, 40, 1), 0, 0), 0},
		{"from the first on", from(row(0, 40, 1), 0), 0},
		{"none", from(nil, 0), 24},
	} {
		if c.got != c.want {
			t.Errorf("%s: beat %d, want %d", c.name, c.got, c.want)
		}
	}
}

// Hats and a shaker play alone for 16 beats before the kick comes in: the first beat is theirs.
// A pad in their place is none, nor is the hat half a beat before the first kick.
func TestFirstBeatOfHats(t *testing.T) {
	const bpm, offset = 126.0, 0.8
	g := grooves["house with sixteenths"]
	render := func(g groove) [][]float32 {
		return song{groove: g, bpm: bpm, seconds: 40, offset: offset, seed: 3}.render()
	}
	main := render(g)
	kicks := offset + 16*60/bpm
	for _, c := range []struct {
		name  string
		intro groove
		early float64 // beats before the kick from which all play
		want  float64
	}{
		{"hats between, a shaker", groove{openHat: g[openHat], shaker: g[shaker]}, 0, offset},
		{"hats between", groove{openHat: g[openHat]}, 0, offset},
		{"a pad", groove{pad: "x.....x.....x..."}, 0, kicks},
		{"a hat before the bar", nil, 0.55, kicks},
	} {
		x := render(c.intro)
		for ch := range x {
			from := int((kicks - c.early*60/bpm) * synthRate)
			copy(x[ch][from:], main[ch][from:])
		}
		if r := measure(x, synthRate); !(math.Abs(r.FirstBeat-c.want) <= beatTolerance) {
			t.Errorf("%s: first beat %.4f, want %.4f", c.name, r.FirstBeat, c.want)
		}
	}
}
