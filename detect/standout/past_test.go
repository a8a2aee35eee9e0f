package standout

import (
	"math"
	"testing"

	"dubgauge/detect"
)

// Against nine references from -9 to -7 LUFS whose other figures are all alike.
func TestPast(t *testing.T) {
	// The level of nine references from -9 to -7 LUFS, held against their median, and the
	// cut-off of their chance; all else of them is equal.
	refs := New(pool(9, -8), Options{}).refs.values([]int{0, 1, 2, 3, 4, 5, 6, 7, 8}, Level)
	level, even := moderated(refs, -8, priors[Level]), moderated(make([]float64, 9), 0, priors[Mono])
	loud, quiet := cutoff(loudChance, level.dof)*level.spread, cutoff(quietChance, level.dof)*level.spread
	far := loud // what is twice audible
	fault := func(kind string) []detect.Fault { return []detect.Fault{{Kind: kind, Detail: "d", AtS: detect.None}} }
	for _, c := range []struct {
		name   string
		change func(*Track)
		want   float64
	}{
		{"ordinary", func(x *Track) { x.Mono = 0 }, 0},
		{"quiet", func(x *Track) { x.Level = -14 }, 6 / far},
		{"a little quiet", func(x *Track) { x.Level = -9.9 }, 1.9 / quiet},
		{"loud", func(x *Track) { x.Level = -2 }, 6 / loud},
		{"turned down", func(x *Track) { x.Level, x.True = -10, -3.3 }, min(3/(cutoff(turnedChance, even.dof)*even.spread), 2/AudibleLevel)},
		{"mono loss", func(x *Track) { x.Mono = -4.1 }, min(4/(cutoff(monoChance, even.dof)*even.spread), 4/1.5)},
		{"the worst counts", func(x *Track) { x.Level, x.Faults = -14, fault("click") }, max(6/far, 2)},
		{"more mono than all does no harm", func(x *Track) { x.Mono = 5 }, 0},
		{"far over full scale", func(x *Track) { x.True = 4.2 }, min(4.5/(cutoff(peakChance, even.dof)*even.spread), 4.5/1.5)},
		{"over the others, not over full scale", func(x *Track) { x.True = 0 }, 0},
		{"over full scale from clipping", func(x *Track) { x.True, x.Faults = 14.2, fault("clipped") }, 2},
		{"to check", func(x *Track) { x.Faults = fault("click") }, 2},
		{"to hold back", func(x *Track) { x.Faults = append(fault("hole"), fault("click")...) }, 4},
		{"noted", func(x *Track) { x.Faults = fault("mono") }, 0},
		{"read in part", func(x *Track) { x.Problem = &detect.Problem{Kind: "truncated"} }, 4},
		{"silent", func(x *Track) { x.Level = detect.None }, 4},
		{"unreadable", func(x *Track) { x.Level, x.Problem = detect.None, &detect.Problem{Kind: "damaged"} }, 4},
	} {
		x := plain(99, -8)
		x.Mono = -0.1
		c.change(&x)
		got := float64(New(pool(9, -8), Options{}).Judge(x).Past)
		if !(math.Abs(got-c.want) <= 0.001*c.want+0.001) {
			t.Errorf("%s: %.4f, want %.4f", c.name, got, c.want)
		}
	}
}

// The balance counts too, the further off the more; the audible minimum bounds it.
func TestPastOfTheBalance(t *testing.T) {
	j, last := New(pool(9, -8), Options{}), 1.0
	for _, dB := range []float64{6, 12, 30} {
		x := plain(99, -8)
		x.BPM, x.Pattern, x.Balance = 128, fourFloor, equalised(usual, dB, 0)
		got := float64(j.Judge(x).Past)
		if got <= last || got > dB/AudibleLowEnd+1e-9 {
			t.Errorf("%g dB: %.2f past after %.2f", dB, got, last)
		}
		last = got
	}
}

// Fixed values: the tolerances that verdict.go names.
func TestPastWithFixedValues(t *testing.T) {
	named := pool(2, -7)
	named[0].Named, named[1].Named = true, true
	for _, c := range []struct {
		name   string
		pool   []Track
		change func(*Track)
		want   float64
	}{
		{"level", nil, func(x *Track) { x.Level = -10 }, 3 / fixedLevelTolerance},
		{"low end", nil, func(x *Track) { x.LowEnd = 8 }, 6 / fixedLowEndTolerance},
	} {
		x := plain(99, -7)
		c.change(&x)
		if got := float64(New(c.pool, Options{}).Judge(x).Past); !(math.Abs(got-c.want) <= 0.001) {
			t.Errorf("%s: %.4f, want %.4f", c.name, got, c.want)
		}
	}
}

// A ratio above 1 and a verdict worse than ready are the same thing.
func TestPastAgreesWithTheVerdict(t *testing.T) {
	j := New(pool(9, -8), Options{})
	for level := -16.0; level <= 0; level += 0.037 {
		got := j.Judge(plain(99, level))
		if out := got.Verdict != Ready; out != (got.Past > 1) {
			t.Errorf("%.3f LUFS: %s, %.4f past", level, got.Verdict, got.Past)
		}
	}
}
