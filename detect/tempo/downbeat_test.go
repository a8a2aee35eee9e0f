package tempo

import (
	"math"
	"testing"
)

// barsOf are beats whose levels and sixteenths are given by a function of the beat.
func barsOf(n int, steps func(i, k int) float64, level func(i int) float64) []beatPlayed {
	out := make([]beatPlayed, n)
	for i := range out {
		for l := range layers {
			for k := range beatSteps {
				out[i].steps[l][k] = steps(i, k)
			}
		}
		out[i].levels = []float64{level(i), 0, 0}
	}
	return out
}

func none(int, int) float64 { return 1 }

var threeParts = []int{low, mid, high}

// What repeats in every bar is no change; a chord a bar changes where bars begin.
func TestChangesOfChords(t *testing.T) {
	drums := func(i int) float64 { return []float64{3, 1, 2, 1}[(i+1)%4] }
	for i, s := range lineSignsOf(barsOf(64, none, drums), threeParts) {
		if s[ofParts+low] > 1e-9 || s[ofTwo] > 1e-9 {
			t.Fatalf("beat %d: a drum that repeats is a change: %v", i, s[ofParts:])
		}
	}
	chords := func(i int) float64 { return drums(i) + float64((i+1)/4%2) }
	signs := lineSignsOf(barsOf(64, none, chords), threeParts)
	for i := 3; i+4 < len(signs); i++ {
		two := []float64{1, 0, 1, 2}[i%4] // of the mean, by hand
		if on := i%4 == 3; on != (signs[i][ofParts+low] > 1) || math.Abs(signs[i][ofTwo]-two) > 0.1 || signs[i][ofParts+mid] != 0 {
			t.Errorf("beat %d: %v", i, signs[i][ofParts:])
		}
	}
	if e := evidence(signs); lineOf(e, 0).at != 3 || lineOf(e, 0).chance < plain {
		t.Errorf("%+v, want a bar line at 3", lineOf(e, 0))
	}
}

// Beats that grow by 1 differ by 2 and 6 at the distances of bars of two, by 4 and 8 at those
// of four: 8 against 12. What one beat of four has, p, adds p/2 at 2 and at 6, nothing at 4 and 8.
func TestInTwos(t *testing.T) {
	beats := func(n int, growth, p float64) []beatPlayed {
		return barsOf(n, func(i, k int) float64 {
			if k == 0 {
				return growth * float64(i)
			}
			return p * float64(k%2) / 2 * float64(i%4/3)
		}, func(int) float64 { return 0 })
	}
	for _, c := range []struct {
		name  string
		beats []beatPlayed
		want  bool
	}{
		{"alike", beats(42, 0, 0), true},
		{"one beat of four", beats(42, 0, 1), false},
		{"14 against 12", beats(42, 1, 6), true},
		{"16 against 12", beats(42, 1, 8), false},
		{"too short", beats(8, 1, 0), false},
		{"just long enough", beats(9, 1, 0), true},
	} {
		if got := inTwos(c.beats); got != c.want {
			t.Errorf("%s: %v", c.name, got)
		}
	}
}

// A section that comes in at beat 33 of 64 is a change there and nowhere else; scaled to a
// mean of 1 over the 61 beats that begin whole bars it is 61.
func TestSectionChanges(t *testing.T) {
	signs := lineSignsOf(barsOf(64, none, func(i int) float64 { return float64(min(1, i/33)) }), threeParts)
	for i, s := range signs {
		want := 0.0
		if i == 33 {
			want = 61
		}
		if math.Abs(s[ofSections]-want) > 1e-9 {
			t.Errorf("beat %d: %v, want %v", i, s[ofSections], want)
		}
	}
}

// What lasts for four beats is half of a change of section, a quarter squared; what moves
// within twice the usual is none.
func TestSmallChanges(t *testing.T) {
	level := func(i int) float64 {
		switch {
		case i >= 48:
			return 1
		case i >= 24 && i < 28:
			return 1
		}
		return 0
	}
	got := sectionChanges(barsOf(80, none, level), bar)
	if r := got[24] / got[48]; math.Abs(r-0.25) > 0.01 {
		t.Errorf("a bar alone is %.2f of a section", r)
	}
	for i, v := range sectionChanges(barsOf(80, none, func(i int) float64 { return math.Abs(float64(i%32 - 16)) }), bar) {
		if v != 0 {
			t.Errorf("an even swell is a change at %d", i)
		}
	}
}

// Sixteenths come in the order of the bar, layer by layer.
func TestSixteenthsOfABar(t *testing.T) {
	signs := lineSignsOf(barsOf(8, func(i, k int) float64 { return float64(4*i + k) }, func(int) float64 { return 0 }), threeParts)
	if len(signs) != 5 {
		t.Fatalf("%d beats begin a whole bar of 8, want 5", len(signs))
	}
	for k := range PatternSteps {
		if got := signs[2][kicks*PatternSteps+k]; got != float64(8+k) {
			t.Errorf("sixteenth %d from beat 2: %v", k, got)
		}
	}
}

// The strengths are square roots of sums over a sixteenth from a quarter before its place,
// against their mean: an attack each on the second sixteenths of four is sqrt(4).
func TestStrengths(t *testing.T) {
	const step = 0.005
	b := &reading{analysis: &analysis{step: step}, pulse: pulse{hz: 2}} // 100 values a beat
	for _, c := range []struct {
		at   int // values behind a beat
		want int // the sixteenth
	}{{25, 1}, {19, 1}, {18, 0}, {43, 1}, {44, 2}, {75, 3}} {
		x := make([]float64, 1000)
		for i := 10 + c.at; i < len(x); i += 100 {
			x[i] = 5
		}
		out := make([]beatPlayed, 9)
		b.strengths(out, high, x, 10*step, make([]float64, len(x)+1))
		for k := range beatSteps {
			want := 0.0
			if k == c.want {
				want = 2
			}
			if got := out[4].steps[high][k]; math.Abs(got-want) > 0.02 {
				t.Errorf("an attack %d values behind the beat: sixteenth %d has %.2f, want %.0f", c.at, k, got, want)
			}
		}
	}
}

// Means of 1, 0, 0, 0 are a chance of e/(e+3) by the softmax; the first beat that sounds
// adds its weight to its own place.
func TestLineOf(t *testing.T) {
	e := make([]float64, 10) // places 0 and 1 have three beats, the others two
	e[2], e[6] = 0.5, 1.5
	add := math.Exp(lineWeights[ofStart])
	for _, c := range []struct {
		first  int
		chance float64
	}{{0, math.E / (math.E + 2 + add)}, {6, math.E * add / (math.E*add + 3)}} {
		if got := lineOf(e, c.first); got.at != 2 || math.Abs(got.chance-c.chance) > 1e-9 {
			t.Errorf("first %d: %+v, want 2 with %.3f", c.first, got, c.chance)
		}
	}
}

// A pattern of three beats is more alike three beats apart, one of four is not, and one that
// is the same in every beat tells nothing.
func TestInThrees(t *testing.T) {
	for _, c := range []struct {
		beats int
		want  bool
	}{{1, false}, {2, false}, {3, true}, {4, false}, {6, true}, {8, false}} {
		accent := func(i, k int) float64 {
			if i%c.beats == 0 && k == 0 {
				return 2
			}
			return float64(i*7%5) / 40
		}
		if got := inThrees(barsOf(60, accent, func(int) float64 { return 0 })); got != c.want {
			t.Errorf("an accent every %d beats: %v", c.beats, got)
		}
	}
}

// A bar line that a beat too many moves in the middle does not hold; one that is unclear for
// a while, or moves for less than a side, does.
func TestMoved(t *testing.T) {
	line := func(at func(bar int) (place int, size float64)) []float64 {
		e := make([]float64, 4*24)
		for b := range 24 {
			place, size := at(b)
			e[4*b+place] += size
			e[4*b+(b*5+3)%4] += 0.4
		}
		return e
	}
	for _, c := range []struct {
		name string
		at   func(bar int) (int, float64)
		want bool
	}{
		{"holds", func(int) (int, float64) { return 1, 1 }, false},
		{"moves in the middle", func(b int) (int, float64) { return 1 + b/12, 1 }, true},
		{"moves for the first six bars", func(b int) (int, float64) { return 2 - min(1, b/6), 1 }, true},
		{"moves for the last six", func(b int) (int, float64) { return 1 + b/18, 1 }, true},
		{"moves for the last two", func(b int) (int, float64) { return 1 + b/22, 1 }, false},
		{"fades out", func(b int) (int, float64) { return 1, float64(1 - b/12) }, false},
	} {
		if got := moved(line(c.at), 1); got != c.want {
			t.Errorf("%s: %v", c.name, got)
		}
	}
}

// 1, 2, 3 have a mean of 2 and a standard error of 1/sqrt(3).
func TestSureness(t *testing.T) {
	if got := sureness([]float64{1, 2, 3}); math.Abs(got-2*math.Sqrt(3)) > 1e-9 {
		t.Errorf("%v", got)
	}
}

// Of a chance of 0.9 with a tempo that is sure by half, 0.675 is left: not given.
func TestSetDownbeat(t *testing.T) {
	for _, c := range []struct {
		confidence, chance float64
		given              bool
	}{{1, 0.9, true}, {0.5, 0.9, false}, {0.7, 0.9, true}, {1, 0.74, false}, {1, 0.76, true}} {
		r := Result{Confidence: c.confidence, FirstDownbeat: math.NaN(), DownbeatConfidence: math.NaN()}
		r.setDownbeat(2.5, c.chance)
		if (r.FirstDownbeat == 2.5) != c.given || c.given != (math.Abs(r.DownbeatConfidence-c.chance*(1+c.confidence)/2) < 1e-9) {
			t.Errorf("chance %.2f at %.2f: %+v", c.chance, c.confidence, r)
		}
	}
}

// Bars of three, and fewer bars than six, have no downbeat; the place in the bar holds where
// the first beats are left out.
func TestDownbeatOfParts(t *testing.T) {
	g := groove{kick: "x...........", snare: "....x...x...", hat: "x.x.x.x.x.x.", bass: "x.....x.x..."}
	waltz := song{groove: groove{}, bpm: 140, seconds: 60, seed: 3}
	for v, p := range g { // bars of three over the four of the generator: twelve beats
		waltz.groove[v] = p + p + p + p
	}
	if r := measure(waltz.render(), synthRate); !math.IsNaN(r.FirstDownbeat) || !math.IsNaN(r.DownbeatConfidence) {
		t.Errorf("bars of three: %+v", r)
	}
	s := song{groove: grooves["break"], bpm: 125, seconds: 60, seed: 5}
	for _, early := range []float64{0.48, 0.96} {
		s.offset = -early
		r := measure(s.render(), synthRate)
		if d := math.Remainder(r.FirstDownbeat+early, 1.92); !(math.Abs(d) < 0.005) || r.DownbeatConfidence < plain {
			t.Errorf("%.2f s early: downbeat %.3f, %.3f s from a bar; %.2f", early, r.FirstDownbeat, d, r.DownbeatConfidence)
		}
	}
	// A beat too many behind the tenth bar moves the others.
	for _, name := range []string{"electro", "broken beat"} {
		whole := song{groove: grooves[name], bpm: 125, seconds: 90, seed: 5}.render()
		for c, x := range whole {
			tenth, beat := int(19.2*synthRate), int(0.48*synthRate)
			whole[c] = append(append([]float32(nil), x[:tenth]...), x[tenth-beat:]...)
		}
		if r := measure(whole, synthRate); !math.IsNaN(r.FirstDownbeat) || r.BPM != 125 {
			t.Errorf("%s, a beat too many: downbeat %.3f, %.2f BPM", name, r.FirstDownbeat, r.BPM)
		}
	}
	s.offset, s.seconds = 0, 11
	if r := measure(s.render(), synthRate); !math.IsNaN(r.FirstDownbeat) || math.IsNaN(r.FirstBeat) {
		t.Errorf("five and a half bars: %+v", r)
	}
}
