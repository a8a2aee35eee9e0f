package tempo

import (
	"maps"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// barOf is the bars of hits on sixteenths of a bar, turned on by so many bins, the odd ones
// late by swing bins: kicks low and middle, snares middle and high, hats high, bass low.
func barOf(turn, swing int, kick, snare, hats, bass []int) (f bars) {
	for l := range f {
		f[l] = make([]float64, barBins)
	}
	hit := func(steps []int, level float64, in ...int) {
		for _, s := range steps {
			at := turn + s*stepBins + s%2*swing
			for _, l := range in {
				for d, v := range []float64{0.5, 1, 0.5} {
					f[l][(at+d-1+2*barBins)%barBins] += level * v
				}
			}
		}
	}
	hit(kick, 1, low, mid, kicks)
	hit(snare, 1, mid, high)
	hit(hats, 0.6, high)
	hit(bass, 1.5, low)
	hit(bass, 0.2, kicks)
	return f
}

// The beat is found wherever the bar begins, in straight and broken patterns and under a
// bass on the off-beat that is louder than the kick. Patterns: common practice, no source.
func TestPlaceOfBeat(t *testing.T) {
	four, backbeat := []int{0, 4, 8, 12}, []int{4, 12}
	eighths, off := []int{0, 2, 4, 6, 8, 10, 12, 14}, []int{2, 6, 10, 14}
	for name, f := range map[string]func(turn, swing int) bars{
		"house, bass off the beat": func(n, s int) bars { return barOf(n, s, four, backbeat, off, off) },
		"techno without a clap": func(n, s int) bars {
			return barOf(n, s, four, nil, off, []int{1, 2, 3, 5, 6, 7, 9, 10, 11, 13, 14, 15})
		},
		"break":         func(n, s int) bars { return barOf(n, s, []int{0, 6, 10}, backbeat, eighths, []int{0, 6, 10}) },
		"drum and bass": func(n, s int) bars { return barOf(n, s, []int{0, 10}, backbeat, eighths, []int{0, 6, 10}) },
		"dembow":        func(n, s int) bars { return barOf(n, s, four, []int{3, 6, 11, 14}, eighths, []int{0, 3, 6, 8, 11, 14}) },
		"half time":     func(n, s int) bars { return barOf(n, s, []int{0, 6}, []int{8}, eighths, []int{0, 6, 10}) },
		"two step": func(n, s int) bars {
			return barOf(n, s, []int{0, 7}, backbeat, []int{2, 5, 6, 10, 13, 14}, []int{0, 3, 7, 10})
		},
		"snare on every beat": func(n, s int) bars { return barOf(n, s, []int{0, 8}, four, eighths, off) },
	} {
		for turn := 0; turn < barBins; turn += 7 {
			for _, swing := range []int{0, 9, stepSwing} {
				b := f(turn, swing)
				at := places(b.marks())
				if got := at[largest(b.scores(at))]; math.Abs(math.Remainder(float64(got-turn), foldBins)) > 2 {
					t.Errorf("%s, turned by %d, swing of %d: %d bins off, of %v", name, turn, swing, (got-turn+barBins)%foldBins, at)
				}
			}
		}
	}
}

// The strengths of the sixteenths, odd ones at their place or late by stepSwing, even ones
// at their place alone.
func TestSteps(t *testing.T) {
	var f bars
	f[high] = make([]float64, barBins)
	f[high][10] = 16                                // step 0
	f[high][10+stepBins+stepSwing] = 8              // step 1, late
	f[high][10+3*stepBins] = 4                      // step 3
	f[high][10+2*stepBins+stepSlack+1] = 100        // too late for step 2
	f[high][10+15*stepBins-stepSlack] = 4           // step 15, early
	f[high][10+5*stepBins+stepSwing+1] = 100        // too late for step 5
	f[high][10+6*stepBins-stepSlack-1] = 100        // too early for step 6
	f[high][(10+8*stepBins+stepSlack)%barBins] = 16 // step 8, just not too late
	s, mean := f.steps(high, 10)
	want := [PatternSteps]float64{0: 16, 1: 8, 3: 4, 8: 16, 15: 4}
	if s != want || mean != 3 { // 48 over 16
		t.Errorf("%v, mean %.2f, want %v, mean 3", s, mean, want)
	}
}

// A kick is low and wide at once: the root of 4 times 9, with a low part alone 0.
func TestKicks(t *testing.T) {
	a := &analysis{total: make([]float64, 3)}
	a.part[low], a.part[mid], a.part[high] = []float64{4, 4, 0}, []float64{5, 0, 5}, []float64{4, 0, 4}
	for i, want := range []float64{6, 0, 0} {
		if got := (&reading{analysis: a}).kicks()[i]; got != want {
			t.Errorf("value %d: %v, want %v", i, got, want)
		}
	}
}

// Places lie apart, strongest first, the weak left out; a curve of noughts has one.
func TestPlaces(t *testing.T) {
	x := make([]float64, foldBins)
	x[0], x[95], x[90], x[24], x[48], x[60] = 1, 0.9, 0.8, 0.5, 0.1, 0.2
	want := []int{0, 24, 60}
	got := places(x)
	if len(got) != len(want) || got[0] != 0 || got[1] != 24 || got[2] != 60 {
		t.Errorf("%v, want %v", got, want)
	}
	if got := places(make([]float64, foldBins)); len(got) != 1 {
		t.Errorf("of noughts: %v", got)
	}
}

// The drums enter after 60 s of pads, which are struck on beats and off them: the first
// beat is that of the drums.
func TestFirstBeatAfterPads(t *testing.T) {
	for _, c := range []struct{ groove, pad string }{
		{"break", "x.......x......."}, {"two step", "x...x...x...x..."}, {"minimal", "x.....x.....x..."},
	} {
		g := maps.Clone(grooves[c.groove])
		g[pad] = c.pad
		r := measure(song{groove: g, bpm: 124, seconds: 110, intro: 124, seed: 1}.render(), synthRate)
		if !(math.Abs(r.FirstBeat-60) <= beatTolerance) || r.BPM != 124 {
			t.Errorf("%s after %s: first beat %.4f, %.3f BPM", c.groove, c.pad, r.FirstBeat, r.BPM)
		}
	}
	// Chords on most sixteenths are beats, though no drums play and none stands out.
	r := measure(song{groove: grooves["trance without drums"], bpm: 127.3, seconds: 60, offset: 0.37, seed: 1}.render(), synthRate)
	if !(math.Abs(r.FirstBeat-0.37) <= 0.01) {
		t.Errorf("without drums: first beat %.4f", r.FirstBeat)
	}
}

// Two snares before the first bar, a half and a quarter of a beat early, are no beats; nor
// does a breakdown of half a minute in which only chords off the beat go on move the beat.
func TestPickUp(t *testing.T) {
	const bpm, offset = 128.0, 1.2
	s := song{groove: grooves["break"], bpm: bpm, seconds: 60, offset: offset, seed: 6}
	x := s.render()
	k := &kit{sounds: map[kitKey][]float32{}, rng: rand.New(rand.NewPCG(6, 1))}
	for _, early := range []float64{0.5, 0.25} {
		for _, out := range x {
			k.hit(out, (offset-early*60/bpm)*synthRate, snare, 0.5, 0)
		}
	}
	if r := measure(x, synthRate); !(math.Abs(r.FirstBeat-offset) <= beatTolerance) {
		t.Errorf("after a pick-up: first beat %.4f, want %.4f", r.FirstBeat, offset)
	}
	x = song{groove: grooves["four on the floor"], bpm: bpm, seconds: 90, offset: offset, seed: 6}.render()
	chords := song{groove: groove{stab: "..x...x...x...x."}, bpm: bpm, seconds: 90, offset: offset, seed: 6}.render()
	for c := range x {
		copy(x[c][30*synthRate:65*synthRate], chords[c][30*synthRate:])
	}
	if r := measure(x, synthRate); !(math.Abs(r.FirstBeat-offset) <= beatTolerance) || r.BPM != bpm || !math.IsNaN(r.ChangeAt) {
		t.Errorf("around a breakdown: first beat %.4f, want %.4f; %.3f BPM", r.FirstBeat, offset, r.BPM)
	}
}

// One sixteenth alone is 16 times the mean, its root 4; of the four turns the best counts:
// the weights of the first sixteenth are 0.77 and 1.22 in low and kicks, of the fifth 1.29
// in mid and 0.32 in high.
func TestScores(t *testing.T) {
	for l, want := range [layers]float64{low: 4 * 0.77, mid: 4 * 1.29, high: 4 * 0.32, kicks: 4 * 1.22} {
		var f bars
		for i := range f {
			f[i] = make([]float64, barBins)
		}
		f[l][50] = 7
		got := f.scores([]int{50, 50 + stepBins/2})
		if math.Abs(got[0]-want) > 1e-9 || got[1] > 1 {
			t.Errorf("layer %d: %.3f and beside it %.3f, want %.3f and next to none", l, got[0], got[1], want)
		}
		if got := f.scores([]int{50, 42}); l == mid && !(got[1] <= got[0]-strayWeight*strayMost) {
			t.Errorf("%.3f, and %.3f where it lies nowhere", got[0], got[1])
		}
	}
}

// A beat sounds when it is strong enough against the others, and either stands out or the
// sound rises with it. Around is 1 a value, five to a beat; the rises are 0.4 and 0.18 over
// means of 1.2 and 1.09.
func TestSounding(t *testing.T) {
	for _, c := range []struct {
		name     string
		strength []float64
		step     float64
		want     []bool
	}{
		{"beats that stand out", []float64{11, 9, 11, 11, 11}, 0, []bool{true, false, true, true, true}},
		{"all alike, rising", []float64{6, 6, 6, 6, 6}, 0.4, []bool{true, true, true, true, true}},
		{"all alike, swelling", []float64{6, 6, 6, 6, 6}, 0.18, []bool{false, false, false, false, false}},
		{"weak among strong", []float64{12, 40, 41, 42, 43}, 0, []bool{false, true, true, true, true}},
		{"mostly pads", []float64{12, 12, 12, 80, 80}, 0, []bool{false, false, false, true, true}},
	} {
		b, e := pulsing(c.step, 0.0001, 0.0001)
		for i := range b.total {
			b.total[i] = 1
		}
		g := grid{phase: 5.25, strength: c.strength}
		for i := range c.strength {
			g.times = append(g.times, g.phase+0.5*float64(i))
		}
		if got := g.sounding(b, e); !slices.Equal(got, c.want) {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
		}
	}
}

// What lies where strokes are expected, once a beat in the middle layer: a beat of 8, an eighth of 4,
// sixteenths of 2 and 1, swung or not, or the second of a triplet; beside its place it does not count.
func TestPlaced(t *testing.T) {
	for _, c := range []struct {
		name string
		at   int // bins after the beat
		want float64
	}{
		{"a beat", 0, 4}, {"early", -stepSlack, 4}, {"too early", -stepSlack - 1, 0}, {"late", stepSlack + 1, 0},
		{"a sixteenth", stepBins, 4}, {"swung", stepBins + stepSwing, 4}, {"that swings early", stepBins - stepSlack - 3, 0},
		{"an eighth", 2 * stepBins, 4}, {"the last sixteenth, swung", 3*stepBins + stepSwing, 4},
		{"the second of a triplet", 64, 4}, {"before it", 59, 0}, {"at its edges", 60, 4}, {"the same", 67, 4}, {"behind it", 68, 0},
	} {
		f := *barsOfNothing()
		for k := range bar {
			f[mid][(50+k*foldBins+c.at+barBins)%barBins] = 1
		}
		if got := f.placed(50); got != c.want {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
		}
	}
	f := *barsOfNothing() // eighths and sixteenths, or triplets: the greater of both
	f[mid][2*stepBins], f[mid][3*stepBins], f[mid][64] = 2, 1, 2.5
	if got := f.placed(0); got != 3 {
		t.Errorf("of both: %v, want 3", got)
	}
}

// A two-step that swings by 62 % with kicks on the swung sixteenths: from one of those beats and
// eighths come early, and lie nowhere. The kick's attack alone would put the beat there.
func TestSwungKicks(t *testing.T) {
	const swing = 12 // bins of a 96th of a beat late: 62.5 % of an eighth
	for _, kick := range [][]int{{0, 7, 10}, {0, 10, 13}, {0, 3, 10}} {
		f := barOf(30, swing, kick, []int{4, 12}, []int{0, 2, 3, 6, 7, 10, 11, 14, 15}, kick)
		late := 30 + 7*stepBins + swing
		at := []int{30, late % foldBins, (late + foldBins/2) % foldBins}
		got := f.scores(at)
		if f.placed(at[0]) <= f.placed(at[1]) || got[0] < got[1]+drumsSure || got[0] < got[2]+drumsSure {
			t.Errorf("kick on %v: %.2f, from the swung sixteenths %.2f", kick, got[0], got[1:])
		}
	}
}

// From the first place a stroke of 2 of 3 lies well, from the second both, from the third, 8 and 18
// bins before them, none: that costs 12 log 3/2, nothing and the most. Where there is none nothing is said.
func TestStrays(t *testing.T) {
	f := *barsOfNothing()
	f[mid][0], f[mid][10] = 2, 1
	got := []float64{1, 1, 1}
	f.leaveStrays(got, []int{0, 10, barBins - 8})
	for i, want := range []float64{1 - 12*math.Log(1.5), 1, 1 - 24} {
		if math.Abs(got[i]-want) > 1e-9 {
			t.Errorf("place %d: %v, want %v", i, got[i], want)
		}
	}
	got = []float64{3, 4}
	if barsOfNothing().leaveStrays(got, []int{0, 10}); got[0] != 3 || got[1] != 4 {
		t.Errorf("of nothing: %v", got)
	}
}
