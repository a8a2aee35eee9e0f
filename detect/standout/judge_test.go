package standout

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"dubgauge/detect"
	"dubgauge/detect/reason"
)

// plain is a track whose figures are ordinary.
func plain(id int64, level float64) Track {
	return Track{
		ID: id, BPM: detect.None, Level: detect.Value(level), LowEnd: 2, Sub: -4, Bass: 0.5,
		Mono: -0.1, True: -0.3, DriftPercent: detect.None,
	}
}

// pool makes n released tracks about a level, spread evenly over 2 LU.
func pool(n int, level float64) []Track {
	ts := make([]Track, n)
	for i := range ts {
		ts[i] = plain(int64(i+1), level-1+2*float64(i)/float64(n-1))
		ts[i].Reference = true
		ts[i].BPM = 128
	}
	return ts
}

func TestReferenceGroup(t *testing.T) {
	house := pool(10, -8)
	drumAndBass := pool(12, -6)
	for i := range drumAndBass {
		drumAndBass[i].ID += 100
		drumAndBass[i].BPM = 174
	}
	all := append(slices.Clone(house), drumAndBass...)
	named := slices.Clone(all)
	named[0].Named, named[1].Named = true, true
	for _, c := range []struct {
		name   string
		pool   []Track
		bpm    detect.Value
		basis  reason.Basis
		tracks int
	}{
		{"same tempo", all, 128, "tempo", 10},
		{"within 6 %", all, 135.6, "tempo", 10},
		{"past 6 %", all, 136, "released", 22},
		{"half tempo", all, 87, "tempo", 12},
		{"double tempo", all, 256, "tempo", 10},
		{"no tempo", all, detect.None, "released", 22},
		{"seven are too few for a tempo group", append(slices.Clone(house[:7]), drumAndBass...), 128, "released", 19},
		{"five are enough for statistics", house[:5], 128, "released", 5},
		{"four are not", house[:4], 128, "fixed", 4},
		{"none", nil, 128, "fixed", 0},
		{"named ones lead, however few", named, 174, "named", 2},
	} {
		t.Run(c.name, func(t *testing.T) {
			x := plain(999, -8)
			x.BPM = c.bpm
			g := New(c.pool, Options{}).Judge(x).Reference
			if g.Basis != c.basis || g.Tracks != c.tracks {
				t.Errorf("group is %q of %d, want %q of %d", g.Basis, g.Tracks, c.basis, c.tracks)
			}
		})
	}
}

func TestReferencesAreNotJudgedAgainstThemselves(t *testing.T) {
	p := pool(9, -8)
	j := New(p, Options{})
	if ids := j.Group(p[3]); len(ids) != 8 || slices.Contains(ids, p[3].ID) {
		t.Errorf("group of reference 4 = %v, want the eight others", ids)
	}
}

func TestUnusableReferencesAreLeftOut(t *testing.T) {
	p := pool(9, -8)
	p[0].Problem = &detect.Problem{Kind: "truncated", Detail: "stops early"}
	p[1].Level = detect.None
	p[2].Reference = false
	if ids := New(p, Options{}).Group(plain(99, -8)); !slices.Equal(ids, []int64{4, 5, 6, 7, 8, 9}) {
		t.Errorf("group = %v, want 4 to 9", ids)
	}
}

// Verdicts against nine references from -9 to -7 LUFS: median -8.
func TestVerdicts(t *testing.T) {
	for _, c := range []struct {
		name    string
		change  func(*Track)
		verdict Verdict
		reasons string
	}{
		{"ordinary", func(*Track) {}, Ready, ""},
		{"far too quiet", func(x *Track) { x.Level = -13 }, HoldBack, "quiet"},
		{"far too loud", func(x *Track) { x.Level = -3 }, HoldBack, "loud"},
		{"sub gone", func(x *Track) { x.Sub = -10 }, HoldBack, "sub thin"},
		{"sub a little heavy", func(x *Track) { x.Sub = -2.2 }, Check, "sub heavy"},
		{"sub heavy, not audible", func(x *Track) { x.Sub = -2.6 }, Ready, ""},
		{"ordinary sub, together heavy", func(x *Track) { x.LowEnd = 4 }, Check, "low end heavy"},
		{"sub heavy, so together heavy", func(x *Track) { x.Sub, x.LowEnd = 2, 5 }, HoldBack, "sub heavy"},
		{"together heavier than the sub tells", func(x *Track) { x.Sub, x.LowEnd = -2, 6 }, HoldBack, "low end heavy; sub heavy"},
		{"bass in opposite phase", func(x *Track) { x.Mono = -12 }, HoldBack, "mono loss"},
		{"more mono than all", func(x *Track) { x.Mono = 0 }, Ready, ""},
		{"over full scale like the rest", func(x *Track) { x.True = 0.9 }, Ready, ""},
		{"far over full scale", func(x *Track) { x.True = 3.5 }, Check, "over full scale"},
		{"clipped", func(x *Track) { x.Faults = []detect.Fault{{Kind: "clipped_hard", Detail: "d", AtS: 3}} }, HoldBack, "clipped"},
		{"clipped, and so over full scale", func(x *Track) {
			x.True, x.Faults = 3.5, []detect.Fault{{Kind: "clipped", Detail: "d", AtS: 3}}
		}, Check, "clipped"},
		{"drifting", func(x *Track) { x.DriftPercent = 2 }, Ready, "tempo drift"},
		{"truncated", func(x *Track) { x.Problem = &detect.Problem{Kind: "truncated"} }, HoldBack, "truncated"},
		{"silent", func(x *Track) { x.Level = detect.None }, HoldBack, "silence"},
		{"worst first", func(x *Track) { x.Level, x.Sub = -11.5, -14 }, HoldBack, "sub thin; quiet"},
		{"unreadable", func(x *Track) {
			x.Level, x.Problem = detect.None, &detect.Problem{Kind: "unsupported", Detail: "Layer I"}
		}, Unreadable, "format"},
	} {
		t.Run(c.name, func(t *testing.T) {
			x := plain(99, -8)
			c.change(&x)
			got := New(pool(9, -8), Options{}).Judge(x)
			if got.Verdict != c.verdict || strings.Join(got.Reasons, "; ") != c.reasons {
				t.Errorf("%s (%q), want %s (%q)", got.Verdict, got.Reasons, c.verdict, c.reasons)
			}
			if len(got.Notes) != len(got.Reasons) || slices.Contains(got.Notes, "") {
				t.Errorf("notes %q do not match reasons %q", got.Notes, got.Reasons)
			}
		})
	}
}

func TestFixedValues(t *testing.T) {
	for _, c := range []struct {
		level, low detect.Value
		verdict    Verdict
		reasons    string
	}{
		{-7, 2, Ready, ""}, {-8.9, 5.9, Ready, ""}, {-5.1, -1.9, Ready, ""},
		{-9.1, 2, Check, "quiet"}, {-4.9, 2, Check, "loud"}, {-11.1, 2, HoldBack, "quiet"},
		{-7, 6.1, Check, "low end heavy"}, {-7, -6.1, HoldBack, "low end thin"},
	} {
		x := plain(99, float64(c.level))
		x.LowEnd = c.low
		got := New(pool(4, -20), Options{}).Judge(x)
		if got.Verdict != c.verdict || strings.Join(got.Reasons, "; ") != c.reasons {
			t.Errorf("%v LUFS, low end %v: %s (%q), want %s (%q)", c.level, c.low, got.Verdict, got.Reasons, c.verdict, c.reasons)
		}
		if len(got.Notes) > 0 && !strings.Contains(got.Notes[0], "common practice, no source") {
			t.Errorf("note does not say where its figure comes from: %q", got.Notes[0])
		}
		if s := got.Reference.Stats[Level]; s.Min != -21 || s.Max != -19 {
			t.Errorf("range of the four references = %v to %v, want -21 to -19", s.Min, s.Max)
		}
	}
}

func TestAMonoFileIsSaidToPlayLouder(t *testing.T) {
	x := plain(99, -12)
	for mono, want := range map[bool]bool{false: false, true: true} {
		x.OneChannel = mono
		note := New(pool(9, -8), Options{}).Judge(x).Notes[0]
		if strings.Contains(note, "mono file") != want {
			t.Errorf("one channel %v: %q", mono, note)
		}
	}
}

func TestTrim(t *testing.T) {
	zero := 0.0
	for _, c := range []struct {
		name             string
		level, peak      detect.Value
		ceiling          *float64
		trim, safe, over detect.Value
	}{
		{"as loud", -8, -0.3, nil, 0, 0, 0},
		{"quiet with headroom", -12, -6, nil, 4, 4, 0},
		{"quiet, some headroom", -12, -2.6, nil, 4, 2.3, 1.7},
		{"quiet, none", -12, -0.3, nil, 4, 0, 4},
		{"quiet, over the ceiling already", -12, 0.72, nil, 4, -1.1, 5.1},
		{"loud", -5, 0.5, nil, -3, -3, 0},
		{"ceiling at full scale", -12, -2.6, &zero, 4, 2.6, 1.4},
		{"no peak known", -12, detect.None, nil, 4, 4, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			x := plain(99, float64(c.level))
			x.True = c.peak
			got := New(pool(9, -8), Options{Ceiling: c.ceiling}).Judge(x).Trim
			if got != (Trim{c.trim, c.safe, c.over}) {
				t.Errorf("trim %+v, want %v, %v, %v", got, c.trim, c.safe, c.over)
			}
		})
	}
}

// A clean new track drawn from the same normal distribution as its references
// may be flagged in at most 5 % of the trials per quantity.
func TestCleanTracksAreRarelyFlagged(t *testing.T) {
	const trials = 4000
	// Three standard errors of a share of 5 % over the trials.
	allowed := 0.05 + 3*math.Sqrt(0.05*0.95/trials)
	for _, n := range []int{5, 8, 11, 15, 40} {
		r := rand.New(rand.NewPCG(7, uint64(n)))
		flagged := map[string]int{}
		for range trials {
			refs := make([]Track, n)
			for i := range refs {
				refs[i] = random(r, int64(i))
				refs[i].Reference = true
			}
			for _, code := range New(refs, Options{}).Judge(random(r, 999)).Reasons {
				flagged[strings.TrimSuffix(strings.TrimSuffix(strings.TrimSuffix(strings.TrimSuffix(
					strings.Replace(strings.Replace(code, "quiet", "level", 1), "loud", "level", 1),
					" thin"), " heavy"), " loss"), " scale")]++
			}
		}
		line := fmt.Sprintf("%d references:", n)
		for q, k := range flagged {
			share := float64(k) / trials
			line += fmt.Sprintf(" %s %.1f %%", q, 100*share)
			if share > allowed {
				t.Errorf("%d references, %s: flagged in %.2f %% of the trials", n, q, 100*share)
			}
		}
		if len(flagged) < 4 {
			t.Errorf("%d references: only %v were ever flagged: the trial is too tame to show anything", n, flagged)
		}
		t.Log(line)
	}
}

// random draws a track with spreads so wide (2 dB) that the audible minimum
// hides nothing.
func random(r *rand.Rand, id int64) Track {
	v := func(mean float64) detect.Value { return detect.Value(mean + 2*r.NormFloat64()) }
	return Track{ID: id, BPM: detect.None, Level: v(-8), LowEnd: v(2), Sub: v(-4), Bass: v(0), Mono: v(-6), True: v(-1), DriftPercent: detect.None}
}

func TestBands(t *testing.T) {
	s := func(v ...detect.Value) detect.Spectrum { return detect.Spectrum{LoudestDB: v} }
	p10, p50, p90 := Bands(
		[]detect.Spectrum{s(-20, -30, detect.None), s(-15, -20, detect.None), s(-10, -10, detect.None), s(0, 0, 0)},
		[]detect.Value{-10, -5, 0, detect.None})
	if p50[0] != -10 || p10[0] != -10 || p90[0] != -10 {
		t.Errorf("first band %v, %v, %v: level was not taken off", p10[0], p50[0], p90[0])
	}
	if p50[1] != -15 || p10[1] != -19 || p90[1] != -11 {
		t.Errorf("second band %v, %v, %v, want -19, -15, -11", p10[1], p50[1], p90[1])
	}
	if p50[2].Exists() {
		t.Errorf("third band = %v, want none", p50[2])
	}
}

// BenchmarkJudge judges a library of 20,000 tracks with 10,000 references.
func BenchmarkJudge(b *testing.B) {
	r := rand.New(rand.NewPCG(1, 2))
	ts := make([]Track, 20000)
	for i := range ts {
		ts[i] = random(r, int64(i))
		ts[i].Reference = i%2 == 0
		ts[i].BPM = detect.Value(60 + math.Round(r.Float64()*1400)/10)
	}
	for b.Loop() {
		j := New(ts, Options{})
		for i := range ts {
			j.Judge(ts[i])
		}
	}
}
