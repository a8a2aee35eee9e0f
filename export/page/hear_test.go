package page

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"dubgauge/detect"
	"dubgauge/library"
)

func parsed(t *testing.T, s string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// heard is the first step of a set of two tracks, the second of which change alters.
func heard(t *testing.T, change func(a, b *library.Track)) *hear {
	t.Helper()
	var first *library.Track
	r := inOrder(t, 2, func(i int, t *library.Track) {
		t.Edges = &detect.Edges{
			Start: detect.Edge{FromS: 10, ToS: 70, LUFS: -8, SubDB: -3, BassDB: 0, Beat: true},
			End:   detect.Edge{FromS: 225, ToS: 285, LUFS: -8, SubDB: -3, BassDB: 0, Beat: true},
		}
		if i == 0 {
			first = t
			return
		}
		change(first, t)
	})
	return NewOrder(r).Places[1].Step.Hear
}

// onGrid tells that a time lies on a grid, within a tenth of a millisecond, which is how
// it is written.
func onGrid(at, first, step float64) bool {
	n := (at - first) / step
	return math.Abs(n-math.Round(n))*step < 2e-4
}

// TestHearInTime: the incoming part begins on a beat of its own, where the next beat of
// the outgoing one would be, and lasts as long as that at its rate.
func TestHearInTime(t *testing.T) {
	for name, c := range map[string]struct {
		bpm, down  float64
		rate       float64
		words      string
		beatS, inS float64 // what must meet: a beat, or a bar
		in0        float64
	}{
		"one tempo":  {125, math.NaN(), 1, "In time, beat on beat: both have one tempo.", 0.48, 0.48, 0.5},
		"faster":     {130, math.NaN(), 125.0 / 130, "In time, beat on beat: the incoming track is played 3.8 % slower, which makes it 0.68 semitones lower.", 0.48, 60.0 / 130, 0.5},
		"slower":     {120, math.NaN(), 125.0 / 120, "In time, beat on beat: the incoming track is played 4.2 % faster, which makes it 0.71 semitones higher.", 0.48, 0.5, 0.5},
		"a little":   {124, math.NaN(), 125.0 / 124, "In time, beat on beat: the incoming track is played 0.8 % faster, which makes it 0.14 semitones higher.", 0.48, 60.0 / 124, 0.5},
		"half tempo": {62.5, math.NaN(), 1, "In time, beat on beat: both have one tempo.", 0.48, 0.96, 0.5},
		"bars":       {125, 1.46, 1, "In time, bar on bar: both have one tempo.", 1.92, 1.92, 1.46},
	} {
		t.Run(name, func(t *testing.T) {
			h := heard(t, func(a, b *library.Track) {
				b.Measurement.Tempo.BPM = detect.Value(c.bpm)
				a.Measurement.Tempo.FirstDownbeatS, b.Measurement.Tempo.FirstDownbeatS = detect.Value(c.down), detect.Value(c.down)
			})
			if h.Words != c.words {
				t.Errorf("%q", h.Words)
			}
			out0 := 0.5
			if !math.IsNaN(c.down) {
				out0 = c.down
			}
			from, n := parsed(t, h.Out.FromS), parsed(t, h.Out.LengthS)
			if end := from + n; !onGrid(end, out0, c.beatS) || end > 285 || end < 285-c.beatS || math.Abs(n-32*0.48) > 1e-3 {
				t.Errorf("out from %v for %v s", from, n)
			}
			in, m := parsed(t, h.In.FromS), parsed(t, h.In.LengthS)
			if !onGrid(in, c.in0, c.inS) || in < 10 || in >= 10+c.inS || math.Abs(parsed(t, h.Rate)-c.rate) > 1e-6 || math.Abs(m/c.rate-n) > 1e-3 {
				t.Errorf("in from %v for %v s at %s", in, m, h.Rate)
			}
		})
	}
}

// TestHearSlow: slow music is played for half as many bars.
func TestHearSlow(t *testing.T) {
	h := heard(t, func(a, b *library.Track) { a.Measurement.Tempo.BPM, b.Measurement.Tempo.BPM = 90, 90 })
	if n := parsed(t, h.Out.LengthS); math.Abs(n-16*60.0/90) > 1e-3 {
		t.Errorf("%v s", n)
	}
}

// TestHearNotInTime: why is said, and both are played as they are.
func TestHearNotInTime(t *testing.T) {
	for why, change := range map[string]func(a, b *library.Track){
		"the tempi lie 8.8 % apart":                             func(_, b *library.Track) { b.Measurement.Tempo.BPM = 136 },
		"the tempi are not sure enough":                         func(_, b *library.Track) { b.Measurement.Tempo.Confidence = 0.5 },
		"one of the tracks has no beat that could be measured":  func(_, b *library.Track) { b.Measurement.Tempo.BPM = detect.None },
		"one of the tracks has no beat that could be measured.": func(a, _ *library.Track) { a.Measurement.Tempo.FirstBeatS = detect.None },
		"the tempo of one of the tracks drifts":                 func(a, _ *library.Track) { a.Measurement.Tempo.DriftPercent = -0.2 },
		"the tempo changes within one of the tracks": func(_, b *library.Track) {
			b.Measurement.Tempo.ChangeFromBPM, b.Measurement.Tempo.ChangeToBPM = 125, 130
		},
	} {
		h := heard(t, change)
		if h.Words != "Not in time: "+strings.TrimSuffix(why, ".")+"." || h.Rate != "1" {
			t.Errorf("%q at %s, not %q", h.Words, h.Rate, why)
		}
		if parsed(t, h.Out.FromS) != 273 || parsed(t, h.Out.LengthS) != 12 || parsed(t, h.In.FromS) != 10 || parsed(t, h.In.LengthS) != 12 {
			t.Errorf("%s: %+v", why, h)
		}
	}
}

// TestHearAtTheTrims: as far apart as the trims are, and nothing is turned up.
func TestHearAtTheTrims(t *testing.T) {
	for _, c := range []struct{ a, b, wantA, wantB float64 }{{-3, 0, -3, 0}, {2, 1, 0, -1}, {-1, 4, -5, 0}, {-2, -4, -2, -4}} {
		h := heard(t, func(a, b *library.Track) {
			for x, trim := range map[*library.Track]float64{a: c.a, b: c.b} { // so loud that these trims level them
				x.Loudness.Loudest30sLUFS, x.Trim.TrimDB = detect.Value(-7-trim), detect.Value(trim)
			}
		})
		if parsed(t, h.Out.GainDB) != c.wantA || parsed(t, h.In.GainDB) != c.wantB {
			t.Errorf("trims %v and %v: %s and %s", c.a, c.b, h.Out.GainDB, h.In.GainDB)
		}
	}
}

// TestHearWithinTheFile: parts end before the file does, and begin with it.
func TestHearWithinTheFile(t *testing.T) {
	h := heard(t, func(a, b *library.Track) {
		a.Measurement.File.DurationS, b.Measurement.File.DurationS = 20, 15
		a.Edges.End = detect.Edge{FromS: 0, ToS: 20, LUFS: -8}
		b.Measurement.Tempo.BPM = 180
	})
	if parsed(t, h.Out.FromS) != 8 || parsed(t, h.Out.LengthS) != 11.9 || parsed(t, h.In.FromS) != 10 || parsed(t, h.In.LengthS) != 4.9 {
		t.Errorf("%+v", h)
	}
	h = heard(t, func(a, b *library.Track) {
		a.Edges, a.Loudness.Loudest30sStartS, a.Measurement.File.DurationS = nil, detect.None, detect.None
	})
	if h != nil {
		t.Errorf("a part that is not known is played: %+v", h)
	}
}
