package tempo

import (
	"math"
	"slices"
	"testing"
)

// What a change must be exact to: its place to two beats, the tempi as any others.
const changeBeats = 2

func TestChange(t *testing.T) {
	for _, c := range []struct {
		groove   string
		from, to float64
		at       float64 // seconds
		seconds  float64
	}{
		{"house with sixteenths", 128, 140, 40, 80}, {"drum and bass", 174, 160, 42, 80}, {"four on the floor", 140, 128, 50, 150},
		{"break", 128, 137.5, 100, 150}, {"two step", 120, 126, 75, 150}, {"broken beat", 100, 126, 40, 80},
	} {
		seconds := c.seconds
		s := song{groove: grooves[c.groove], bpm: c.from, seconds: seconds, vary: 0.06, clock: step(c.from, c.to, c.at), seed: 5}
		r := measure(s.render(), synthRate)
		t.Logf("%-22s %.1f to %.1f BPM at %.0f s: %.2f to %.2f at %.2f, BPM %.2f (%.2f), drift %.2f %% from %.1f", c.groove, c.from, c.to, c.at,
			r.ChangeFrom, r.ChangeTo, r.ChangeAt, r.BPM, r.Confidence, r.DriftPercent, r.DriftFrom)
		if !(math.Abs(r.ChangeAt-c.at) <= changeBeats*60/min(c.from, c.to)) {
			t.Errorf("%s: change at %.2f s, want %.1f", c.groove, r.ChangeAt, c.at)
		}
		if !(math.Abs(r.ChangeFrom-c.from) <= bpmTolerance) || !(math.Abs(r.ChangeTo-c.to) <= bpmTolerance) {
			t.Errorf("%s: from %.3f to %.3f BPM, want %.1f to %.1f", c.groove, r.ChangeFrom, r.ChangeTo, c.from, c.to)
		}
		longer := c.from
		if c.at < seconds/2 {
			longer = c.to
		}
		if c.at != seconds/2 && math.Abs(r.BPM-longer) > bpmTolerance {
			t.Errorf("%s: %.3f BPM, want %.1f, held longest", c.groove, r.BPM, longer)
		}
		if want := 100 * math.Abs(c.to-c.from) / r.BPM; math.Abs(r.DriftPercent-want) > 0.1 || r.DriftFrom != r.ChangeAt {
			t.Errorf("%s: drift %.3f %% from %.2f, want %.3f from %.2f", c.groove, r.DriftPercent, r.DriftFrom, want, r.ChangeAt)
		}
		if !(math.Abs(r.FirstBeat) <= 0.005) {
			t.Errorf("%s: first beat %.4f", c.groove, r.FirstBeat)
		}
	}
}

// A tempo that is steady, ramps, wanders as players do or goes half time does not change,
// nor does one with a long break.
func TestNoChange(t *testing.T) {
	half := func(b float64) float64 { return step(140, 70, 60)(b) }
	for name, s := range map[string]song{
		"steady":                  {groove: grooves["break"], bpm: 128, seconds: 120, vary: 0.06, breaks: true, seed: 5},
		"ramp":                    {groove: grooves["four on the floor"], bpm: 127, seconds: 120, clock: ramp(127, 4, 120), seed: 5},
		"live":                    {groove: grooves["break"], bpm: 112, seconds: 120, clock: live(112, 2), jitter: 0.008, seed: 5},
		"half time":               {groove: grooves["break"], bpm: 140, seconds: 120, clock: half, seed: 5},
		"half time in the middle": {groove: grooves["drum and bass"], bpm: 172, seconds: 210, clock: tempi(70, 172, 86, 172), seed: 5},
		"steep ramp":              {groove: grooves["four on the floor"], bpm: 118, seconds: 160, clock: ramp(118, 15, 160), seed: 5},
		"live, loose":             {groove: grooves["two step"], bpm: 122, seconds: 200, clock: live(122, 4), jitter: 0.01, seed: 6},
		"parts of 20 s":           {groove: grooves["break"], bpm: 128, seconds: 160, clock: tempi(20, 128, 140, 120, 132, 126, 138, 122, 134), seed: 5},
	} {
		if r := measure(s.render(), synthRate); !math.IsNaN(r.ChangeAt) || !math.IsNaN(r.ChangeFrom) || !math.IsNaN(r.ChangeTo) {
			t.Errorf("%s: from %.2f to %.2f BPM at %.1f s", name, r.ChangeFrom, r.ChangeTo, r.ChangeAt)
		}
	}
}

// The split that most agree with; each side of two at least, three of four of one tempo,
// and no other level of the same.
func TestSplitPieces(t *testing.T) {
	for _, c := range []struct {
		name string
		bpm  []float64
		want int
	}{
		{"one tempo", []float64{128, 128.1, 127.9, 128, 128, 128}, 0},
		{"half and half", []float64{128, 128, 128, 140, 140, 140}, 3},
		{"late", []float64{128, 128, 128, 128, 140, 140}, 4},
		{"too late", []float64{128, 128, 128, 128, 128, 140}, 0},
		{"one piece is a break", []float64{128, 128, 97, 128, 140, 140, 140, 140}, 4},
		{"half of them are", []float64{128, 97, 111, 128, 140, 140, 140, 140}, 0},
		{"double", []float64{87, 87, 87, 174, 174, 174}, 0},
		{"two thirds", []float64{120, 120, 120, 80.4, 80.4, 80.4}, 0},
		{"one percent", []float64{128, 128, 128, 129.2, 129.2, 129.2}, 0},
		{"1.6 percent", []float64{126, 126, 126, 128, 128, 128}, 3},
		{"by hand", []float64{110, 112, 113, 111, 109, 114, 112, 110}, 0},
		{"short", []float64{128, 140, 140}, 0},
	} {
		got := 0
		if runs := splitPieces(c.bpm); len(runs) == 2 {
			got = runs[1].from
		} else if len(runs) > 2 {
			t.Errorf("%s: %v", c.name, runs)
		}
		if got != c.want {
			t.Errorf("%s: %d, want %d", c.name, got, c.want)
		}
	}
}

// tempi is the clock of tempi that are held for so many seconds each, the last one to the end.
func tempi(seconds float64, bpm ...float64) func(float64) float64 {
	return func(b float64) float64 {
		t := 0.0
		for _, v := range bpm[:len(bpm)-1] {
			beats := seconds * v / 60
			if b < beats {
				return t + b*60/v
			}
			b, t = b-beats, t+seconds
		}
		return t + b*60/bpm[len(bpm)-1]
	}
}

// Each of several changes is found, with its place and its tempi; the tempo is that which is
// held longest, all its parts together.
func TestChanges(t *testing.T) {
	for _, c := range []struct {
		groove  string
		seconds float64
		bpm     []float64
		held    float64
		breaks  bool
	}{
		{"house with sixteenths", 65, []float64{128, 140, 128}, 128, false}, {"drum and bass", 80, []float64{174, 160, 174}, 174, true},
		{"break", 60, []float64{120, 126, 140, 126}, 126, false}, {"two step", 70, []float64{130, 118, 139}, math.NaN(), false},
		{"four on the floor", 60, []float64{126, 128, 132, 136}, math.NaN(), false}, {"electro", 90, []float64{100, 126, 110}, math.NaN(), true},
	} {
		s := song{groove: grooves[c.groove], bpm: c.bpm[0], seconds: c.seconds * float64(len(c.bpm)), vary: 0.06, breaks: c.breaks, clock: tempi(c.seconds, c.bpm...), seed: 8}
		r := measure(s.render(), synthRate)
		t.Logf("%s %v: %.2f, %v", c.groove, c.bpm, r.BPM, r.Changes)
		if len(r.Changes) != len(c.bpm)-1 {
			t.Errorf("%s: %v", c.groove, r.Changes)
			continue
		}
		for i, got := range r.Changes {
			at, from, to := c.seconds*float64(i+1), c.bpm[i], c.bpm[i+1]
			if !(math.Abs(got.At-at) <= changeBeats*60/min(from, to)) || !(math.Abs(got.From-from) <= bpmTolerance) || !(math.Abs(got.To-to) <= bpmTolerance) {
				t.Errorf("%s: %+v, want %.1f to %.1f at %.0f", c.groove, got, from, to, at)
			}
		}
		if r.ChangeAt != r.Changes[0].At || r.ChangeFrom != r.Changes[0].From || r.ChangeTo != r.Changes[0].To || r.DriftFrom != r.ChangeAt {
			t.Errorf("%s: the first is %+v, want %v", c.groove, r, r.Changes[0])
		}
		if !math.IsNaN(c.held) && !(math.Abs(r.BPM-c.held) <= bpmTolerance) {
			t.Errorf("%s: %.2f BPM, want %.1f", c.groove, r.BPM, c.held)
		}
		if want := 100 * (slices.Max(c.bpm) - slices.Min(c.bpm)) / r.BPM; math.Abs(r.DriftPercent-want) > 0.1 {
			t.Errorf("%s: drift %.2f %%, want %.2f", c.groove, r.DriftPercent, want)
		}
	}
}

// Runs of two pieces and more, with a piece between two that holds the change; never more of
// them than the pieces say.
func TestRuns(t *testing.T) {
	for _, c := range []struct {
		name string
		bpm  []float64
		want []run
	}{
		{"there and back", []float64{128, 128, 140, 140, 140, 128, 128}, []run{{0, 2}, {2, 5}, {5, 7}}},
		{"changes within pieces", []float64{128, 128, 133, 140, 140, 90, 128, 128}, []run{{0, 2}, {3, 5}, {6, 8}}},
		{"four tempi", []float64{120, 120, 126, 126, 132, 132, 138, 138}, []run{{0, 2}, {2, 4}, {4, 6}, {6, 8}}},
		{"one piece alone", []float64{128, 128, 140, 128, 128, 128}, []run{{0, 6}}},
		{"half time in the middle", []float64{140, 140, 140, 70, 70, 140, 140, 140}, []run{{0, 8}}},
		{"a ramp", []float64{120, 121.5, 123, 124.5, 126, 127.5, 129}, nil},
		{"silence at both ends", []float64{61, 128, 128, 140, 140, 77}, []run{{1, 3}, {3, 5}}},
		{"two pieces between that agree with none", []float64{128, 128, 90, 111, 140, 140}, nil},
		{"nothing", nil, nil},
	} {
		if got := splitPieces(c.bpm); !slices.Equal(got, c.want) {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
		}
	}
}

// Of sides at 128, 140 and 128 BPM the last is taken, as they last 30, 50 and 40 s.
func TestLongestSide(t *testing.T) {
	var sides []side
	for _, c := range []struct{ bpm, seconds float64 }{{128, 30}, {140, 50}, {128.1, 40}} {
		sides = append(sides, side{reading: reading{analysis: &analysis{step: 0.01, total: make([]float64, int(100*c.seconds))}, pulse: pulse{hz: c.bpm / 60}}})
	}
	if got := longestSide(sides); got != &sides[2] {
		t.Errorf("%.1f BPM", 60*got.pulse.hz)
	}
	sides[1].total = make([]float64, 7500) // 75 s, more than both others
	if got := longestSide(sides); got != &sides[1] {
		t.Errorf("%.1f BPM, want 140", 60*got.pulse.hz)
	}
	if got := longestSide(sides[:2]); got != &sides[1] {
		t.Errorf("of two: %.1f BPM", 60*got.pulse.hz)
	}
}

// clicked is the analysis of clicks on the beats of a clock and, half as strong, between them.
func clicked(seconds float64, clock func(float64) float64) *analysis {
	a := &analysis{step: hopSeconds, total: make([]float64, int(seconds/hopSeconds))}
	for half := 0; ; half++ {
		i := int(math.Round(clock(float64(half)/2) / a.step))
		if i >= len(a.total) {
			break
		}
		a.total[i] = 1 - 0.5*float64(half%2)
	}
	for p := range a.part {
		a.part[p] = a.total
	}
	return a
}

// Eight sides are named, from the first value to the last; ten are a set that is mixed.
func TestSidesMost(t *testing.T) {
	bpm := []float64{128, 140, 128, 134, 126, 138, 130, 142, 127, 136}
	for _, c := range []struct{ sides, want int }{{1, 0}, {8, 8}, {10, 0}} {
		a := clicked(float64(75*c.sides), tempi(75, bpm[:c.sides]...))
		sides := a.changed()
		if len(sides) != c.want {
			t.Errorf("of %d sides %d", c.sides, len(sides))
			continue
		}
		for i, s := range sides {
			if want := int(75 * float64(i) / a.step); math.Abs(float64(s.from-want)) > 100 || math.Abs(60*s.pulse.hz-bpm[i]) > 0.1 {
				t.Errorf("side %d: from value %d, want %d; %.2f BPM, want %.1f", i, s.from, want, 60*s.pulse.hz, bpm[i])
			}
		}
		if c.want > 0 && (sides[0].from != 0 || sides[c.want-1].to != len(a.total) || len(sides[c.want-1].total) != len(a.total)-sides[c.want-1].from) {
			t.Errorf("from %d to %d of %d", sides[0].from, sides[c.want-1].to, len(a.total))
		}
	}
}

// hitAt is the analysis of strokes at times in seconds, each with its strength.
func hitAt(seconds float64, strokes ...[2]float64) *analysis {
	a := &analysis{step: hopSeconds, total: make([]float64, int(seconds/hopSeconds))}
	for _, s := range strokes {
		if i := int(math.Round(s[0] / a.step)); i < len(a.total) {
			a.total[i] = max(a.total[i], s[1])
		}
	}
	for p := range a.part {
		a.part[p] = a.total
	}
	return a
}

// beating are strokes of a tempo in BPM between two times, each 1/per of a beat, the beats twice as
// strong as what lies between.
func beating(bpm, per, from, to float64) (out [][2]float64) {
	for i := 0; ; i++ {
		t := float64(i) / per * 60 / bpm
		if t >= to {
			return out
		}
		level := 0.5
		if math.Mod(float64(i), per) == 0 {
			level = 1
		}
		if t >= from {
			out = append(out, [2]float64{t, level})
		}
	}
}

// Parts of 40 s are sides, of 20 s they are not; nor is what a beat does that goes on: strokes on
// every other beat, triplets, three against four, none at all, fills and a drummer who wanders.
func TestShortParts(t *testing.T) {
	wander := func(b float64) float64 { return b*60/124 + 0.3*math.Sin(b/13) + 0.2*math.Sin(b/5) }
	around := func(from, to float64, passage [][2]float64) [][2]float64 {
		all := append(beating(128, 2, 0, from), passage...)
		return append(all, beating(128, 2, to, 110)...)
	}
	var fills [][2]float64
	for from := 0.0; from < 110; from += 15 { // eight bars of 128 BPM
		fills = append(append(fills, beating(128, 2, from, from+13.125)...), beating(128, 4, from+13.125, from+15)...)
	}
	later := func(by float64, strokes [][2]float64) [][2]float64 {
		for i := range strokes {
			strokes[i][0] += by
		}
		return strokes
	}
	short := append(beating(128, 2, 0, 48), later(48, beating(140, 2, 0, 22))...)
	for name, c := range map[string]struct {
		a    *analysis
		want int
	}{
		"22 s in the middle":      {hitAt(118, append(short, later(70, beating(128, 2, 0, 48))...)...), 0},
		"levels of their own":     {hitAt(80, append(beating(188, 1, 0, 40), later(40, beating(99, 2, 0, 40))...)...), 2},
		"40 s each":               {clicked(80, tempi(40, 128, 140)), 2},
		"three of 40 s":           {clicked(120, tempi(40, 128, 140, 120)), 3},
		"20 s each":               {clicked(80, tempi(20, 128, 140, 120, 133)), 0},
		"every other beat":        {hitAt(110, around(37.5, 75, beating(64, 2, 37.5, 75))...), 0},
		"triplets":                {hitAt(110, around(37.5, 75, beating(128, 3, 37.5, 75))...), 0},
		"three against four":      {hitAt(110, around(37.5, 75, beating(128*4/3., 1, 37.5, 75))...), 0},
		"nothing for 30 s":        {hitAt(110, around(37.5, 67.5, nil)...), 0},
		"fills":                   {hitAt(110, fills...), 0},
		"a drummer who wanders":   {clicked(110, wander), 0},
		"a level of its own, too": {hitAt(80, append(beating(64, 4, 0, 40), beating(140, 2, 40, 80)...)...), 2},
	} {
		sides := c.a.changed()
		if len(sides) != c.want {
			t.Errorf("%s: %d sides, want %d", name, len(sides), c.want)
			for _, s := range sides {
				t.Logf("%.2f BPM from %.1f s", 60*s.pulse.hz, float64(s.from)*s.step)
			}
		}
		for i := range sides {
			if by := math.Abs(math.Log2(sides[i].pulse.hz / sides[0].pulse.hz)); by > 0.5 {
				t.Errorf("%s: %.1f and %.1f BPM", name, 60*sides[0].pulse.hz, 60*sides[i].pulse.hz)
			}
		}
	}
}

// A side that is read at half or at double the tempo of the one held longest is counted as that is.
func TestSameLevel(t *testing.T) {
	sides := []side{{reading: clicked(30, tempi(30, 100)).read()}, {reading: clicked(50, tempi(50, 110)).read()}}
	sides[0].found.bpm, sides[0].pulse.hz = 200, 200/60.
	sameLevel(sides)
	for i, want := range []float64{100, 110} {
		if s := &sides[i]; math.Abs(60*s.pulse.hz-want) > 0.1 || math.Abs(s.found.bpm-want) > 1 {
			t.Errorf("side %d: %.2f BPM, found %.2f, want %.0f", i, 60*s.pulse.hz, s.found.bpm, want)
		}
	}
}
