package loudness

import (
	"math"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"
)

// Levels of tones below are known from their parts to this, in LU: the
// standard's own tolerance for them.
const toneLU = 0.1

func TestLoudest30(t *testing.T) {
	const rate = 44100
	cases := []struct {
		name       string
		parts      []part
		want, from float64
	}{
		{"drop in the middle", []part{{-30, 47.3}, {-10, 30}, {-30, 40}}, -10, 47.3},
		{"at the end", []part{{-30, 33.3}, {-10, 30}}, -10, 33.3},
		{"shorter than 30 s", []part{{-20, 12}}, -20, 0},
		// 77 whole blocks and six in part, which make three: 80/83 is -0.16 dB.
		{"silence is gated", []part{{silent, 20}, {-12, 8}, {silent, 20}}, -12.16, 0},
		{"last beat before silence", []part{{-12, 60}, {-6, 0.5}, {silent, 40}}, -11.9, 30.5},
		{"earliest of equals", []part{{-14, 90}}, -14, 0},
	}
	for _, c := range cases {
		r := stereo(rate, tone(rate, c.parts...))
		near(t, c.name, r.Loudest30, c.want, toneLU)
		near(t, c.name+" start", r.Loudest30Start, c.from, 0.11) // grid of 0.1 s
	}
}

// The relative gate is off in the loudest 30 s: -10 LUFS for half the time and
// -40 for the other half is 3 dB less than -10.
func TestLoudest30HasNoRelativeGate(t *testing.T) {
	r := stereo(44100, tone(44100, part{-10, 15}, part{-40, 15}))
	near(t, "loudest 30 s", r.Loudest30, -13.01, toneLU)
	near(t, "integrated", r.Integrated, -10, toneLU)
}

func TestTimeline(t *testing.T) {
	const rate = 8000
	cases := []struct {
		name  string
		parts []part
		steps int
		step  float64
	}{
		{"six minutes", []part{{-20, 360}}, 240, 1.5},
		{"six and a bit", []part{{-20, 360.1}}, 226, 1.6},
		{"ten seconds", []part{{-20, 10}}, 100, 0.1},
		{"two seconds", []part{{-20, 2}}, 20, 0.1},
		{"loud middle", []part{{-40, 30}, {-20, 30}, {-40, 30}}, 225, 0.4},
	}
	for _, c := range cases {
		r := stereo(rate, tone(rate, c.parts...))
		if len(r.Timeline) != c.steps || math.Abs(r.TimelineStep-c.step) > 1e-9 {
			t.Errorf("%s: %d steps of %.2f s, want %d of %.2f", c.name, len(r.Timeline), r.TimelineStep, c.steps, c.step)
		}
		highest := silent
		for _, l := range r.Timeline {
			highest = max(highest, l)
		}
		near(t, c.name+" highest", highest, -20, toneLU)
	}
	r := stereo(rate, tone(rate, part{-40, 30}, part{-20, 30}, part{-40, 30}))
	for i, want := range map[int]float64{0: -40, 60: -40, 80: -20, 145: -20, 160: -40, 224: -40} {
		near(t, "loud middle", r.Timeline[i], want, toneLU)
	}
}

// What does not exist is NaN: the first row in which a figure appears is the
// shortest signal that has it.
func TestWhatExists(t *testing.T) {
	cases := []struct {
		name                               string
		x                                  []float32
		momentary, shortTerm, lra, loudest bool
	}{
		{"nothing", nil, false, false, false, false},
		{"silence", make([]float32, 5*44100), false, false, false, false},
		{"0.3 s", tone(44100, part{-10, 0.3}), false, false, false, false},
		{"0.5 s", tone(44100, part{-10, 0.5}), true, false, false, true},
		{"3 s", tone(44100, part{-10, 3}), true, true, true, true},
		{"below the gate", tone(44100, part{-80, 5}), true, true, false, false},
	}
	for _, c := range cases {
		r := measure(44100, Weights(2, 0), append([]float32{}, c.x...), c.x)
		got := []bool{!math.IsNaN(r.MomentaryMax), !math.IsNaN(r.ShortTermMax), !math.IsNaN(r.Range), !math.IsNaN(r.Loudest30)}
		want := []bool{c.momentary, c.shortTerm, c.lra, c.loudest}
		if diff := cmp.Diff(want, got); diff != "" {
			t.Errorf("%s: %s", c.name, diff)
		}
		if math.IsNaN(r.Integrated) != math.IsNaN(r.Loudest30) {
			t.Errorf("%s: integrated %v beside loudest %v", c.name, r.Integrated, r.Loudest30)
		}
	}
}

// Any way of cutting a track into blocks gives the same result to the bit.
func TestBlockSizeDoesNotMatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rate := rapid.SampledFrom([]int{8000, 11025, 22050, 44100}).Draw(t, "rate")
		x := toneAt(rate, 97, part{-20, 2}, part{-10, 1.5}, part{-35, 0.73})
		whole := New(rate, Weights(2, 0))
		whole.Write([][]float32{x, x})
		cut := New(rate, Weights(2, 0))
		for from := 0; from < len(x); {
			to := min(len(x), from+rapid.IntRange(1, 9000).Draw(t, "block"))
			cut.Write([][]float32{x[from:to], x[from:to]})
			from = to
		}
		if diff := cmp.Diff(whole.Result(), cut.Result(), cmpopts.EquateNaNs()); diff != "" {
			t.Fatal(diff)
		}
	})
}

// The memory kept is 120 bytes a second of audio, of which two hours are 864 kB.
func TestMemoryKept(t *testing.T) {
	const minutes = 10
	m := New(8000, Weights(2, 0))
	x := tone(8000, part{-20, 60})
	for range minutes {
		writeAll(m, x, x)
	}
	bytes := 8*len(m.hops) + 4*len(m.shortTerms)
	if want := 120 * 60 * minutes; bytes != want {
		t.Errorf("%d bytes for %d minutes, want %d", bytes, minutes, want)
	}
}
