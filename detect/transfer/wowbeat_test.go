package transfer

import (
	"math"
	"math/rand/v2"
	"testing"
)

// beating is the timing of three minutes of sixteenths at 124 BPM that swing by so many
// percent at a turn of the record and lie off by noise of so many milliseconds.
func beating(percent, noise float64) *timing {
	const third = 100. / 180
	rng := rand.New(rand.NewPCG(5, 1))
	b := beginsAt(sixteenths(124, 180, func(at float64, _ int) float64 {
		return percent/100/(2*math.Pi*third)*math.Sin(2*math.Pi*third*at) + noise/1000*rng.NormFloat64()
	}), 44100./32)
	return b.timing(44100./32, Beat{124, 0.9})
}

// Notes that waver at the speed of a record over a beat that doesn't are no record; where
// the beat says nothing, or swings too, they are.
func TestBeatDenies(t *testing.T) {
	waver := swing{percent: 0.4, hz: 0.557, turns: true, score: 3}
	barTurn := beginsAt(sixteenths(400./3, 180, func(float64, int) float64 { return 0 }), 44100./32).timing(44100./32, Beat{400. / 3, 0.9})
	for _, tt := range []struct {
		name string
		g    *timing
		s    swing
		want bool
	}{
		{"a steady beat", beating(0, 0.3), waver, true},
		{"a beat that swings as much", beating(0.4, 0.3), waver, false},
		{"a beat that swings by a quarter", beating(0.1, 0.3), waver, true},
		{"a loose beat", beating(0, 6), waver, false},
		{"no beat", nil, waver, false},
		{"a bar as long as a turn", barTurn, waver, false},
		{"another speed", beating(0, 0.3), swing{percent: 0.4, hz: 0.6, score: 3}, false},
		{"less than the beat shows", beating(0, 2), swing{percent: 0.2, hz: 0.557, turns: true, score: 3}, false},
		{"less than is named, but the beat shows", beating(0, 0.3), swing{percent: 0.25, hz: 0.557, turns: true, score: 3}, true},
	} {
		if got := tt.g.denies(tt.s); got != tt.want {
			t.Errorf("%s: denied %v, want %v", tt.name, got, tt.want)
		}
		tt.s.score = 3
		if got := standing([]swing{tt.s}, tt.g); (got.percent == 0) != (tt.want || tt.s.percent < wowElsewhere && !tt.s.turns) {
			t.Errorf("%s: %+v", tt.name, got)
		}
	}
}

// What is too little in the beat and in the pitch is enough in both, if they agree.
func TestBoth(t *testing.T) {
	g := beating(0.4, 5)
	s := &g.turns[0]
	s.least = s.seconds / 0.8
	waver := swing{percent: 0.2, hz: 0.552, turns: true, score: 0.7}
	faint, doubtful, other := waver, waver, waver
	faint.percent, doubtful.score, other.hz = 0.05, 0.5, 0.62
	for _, tt := range []struct {
		name  string
		pitch swing
		want  bool
	}{{"both", waver, true}, {"a pitch that hardly swings", faint, false}, {"a doubtful pitch", doubtful, false}, {"another speed", other, false}} {
		got := g.both([]swing{tt.pitch})
		if (got.percent > 0) != tt.want || tt.want && (got.percent != s.percent(s.seconds) || !got.timed) {
			t.Errorf("%s: %+v, want %v", tt.name, got, tt.want)
		}
	}
	if got := g.swing(); got.percent > 0 {
		t.Errorf("the beat alone: %+v", got)
	}
	s.least = s.seconds / 0.5
	if got := g.both([]swing{waver}); got.percent > 0 {
		t.Errorf("a doubtful beat: %+v", got)
	}
	var none *timing
	if none.both([]swing{waver}).percent > 0 || none.swing().percent > 0 {
		t.Error("no beat tells of a wow")
	}
}

// A line is as wide as the window over the track leaves it: in a minute, a groove of a bar
// of 1.71 s is not told from a turn of 1.8 s.
func TestGrooveOfAShortTrack(t *testing.T) {
	for seconds, want := range map[float64]bool{69: true, 240: false} {
		b := beginsAt(sixteenths(140, seconds, func(float64, int) float64 { return 0 }), 44100./32)
		if got := b.timing(44100./32, Beat{140, 0.9}).groove(100. / 180); got != want {
			t.Errorf("%g s: of the groove %v, want %v", seconds, got, want)
		}
	}
}
