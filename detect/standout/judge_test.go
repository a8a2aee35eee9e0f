package standout

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"dubgauge/detect"
	"dubgauge/detect/reason"
)

// plain is a track whose figures are ordinary.
func plain(id int64, level float64) Track {
	return Track{
		ID: id, BPM: detect.None, Level: detect.Value(level), LowEnd: 2, Sub: -4, Bass: 0.5,
		Mono: -0.1, True: -0.3, DriftPercent: detect.None, Balance: usual,
	}
}

// pool makes n released tracks about a level, spread evenly over 2 LU.
func pool(n int, level float64) []Track {
	ts := make([]Track, n)
	for i := range ts {
		ts[i] = plain(int64(i+1), level-1+2*float64(i)/float64(n-1))
		ts[i].Reference = true
		ts[i].BPM, ts[i].Pattern = 128, fourFloor
	}
	return ts
}

// kinds of music for the tests: how the low end moves.
var (
	fourFloor = beat(4, 8, 12)
	broken    = beat(6, 10)
)

// beat is a pattern with peaks at these sixteenths and at the bar.
func beat(peaks ...int) []detect.Value {
	p := make([]detect.Value, 16)
	for i := range p {
		p[i] = 0.2
	}
	for _, k := range append(peaks, 16) {
		p[k-1] = 0.9
	}
	return p
}

func TestReferenceGroup(t *testing.T) {
	house := pool(10, -8)
	drumAndBass := pool(12, -6)
	breaks := pool(9, -7)
	for i := range drumAndBass {
		drumAndBass[i].ID += 100
		drumAndBass[i].BPM = 174
		drumAndBass[i].Pattern = broken
	}
	for i := range breaks {
		breaks[i].ID += 200
		breaks[i].Pattern = broken
	}
	all := append(slices.Clone(house), drumAndBass...)
	mixed := append(slices.Clone(house), breaks...) // one tempo, two rhythms
	named := slices.Clone(all)
	named[0].Named, named[1].Named = true, true
	for _, c := range []struct {
		name    string
		pool    []Track
		bpm     detect.Value
		pattern []detect.Value
		basis   reason.Basis
		tracks  int
		unlike  bool
	}{
		{"its kind", all, 128, fourFloor, "like", 10, false},
		{"2.8 % faster", all, 131.6, fourFloor, "like", 10, false},
		{"half tempo", all, 87, broken, "like", 12, false},
		{"double tempo", all, 256, fourFloor, "like", 10, false},
		{"between the two tempi", all, 149, fourFloor, "released", 22, true},
		{"one tempo, its own rhythm", mixed, 128, broken, "like", 9, false},
		{"another rhythm at the tempo of one kind", all, 128, broken, "released", 22, true},
		{"a rhythm that is not known", all, 128, nil, "like", 10, false},
		{"no tempo", all, detect.None, nil, "released", 22, true},
		{"seven of its kind, and one that is not", append(slices.Clone(house[:7]), drumAndBass...), 128, fourFloor, "like", 8, false},
		{"five are enough for statistics", house[:5], 128, fourFloor, "like", 5, false},
		{"four are not", house[:4], 128, fourFloor, "fixed", 4, false},
		{"none", nil, 128, fourFloor, "fixed", 0, false},
		{"named ones replace all others, however few", named, 174, broken, "named", 2, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			x := plain(999, -8)
			x.BPM, x.Pattern = c.bpm, c.pattern
			got := New(c.pool, Options{}).Judge(x)
			if g := got.Reference; g.Basis != c.basis || g.Tracks != c.tracks || got.Unlike != c.unlike {
				t.Errorf("group is %q of %d, unlike %v, want %q of %d, %v", g.Basis, g.Tracks, got.Unlike, c.basis, c.tracks, c.unlike)
			}
			if said := slices.Contains(got.Reasons, reason.Unlike); said != c.unlike {
				t.Errorf("reasons %q", got.Reasons)
			}
		})
	}
}

func TestReferencesAreNotJudgedAgainstThemselves(t *testing.T) {
	p := pool(9, -8)
	j := New(p, Options{})
	if ids := j.Judge(p[3]).Members; len(ids) != 8 || slices.Contains(ids, p[3].ID) {
		t.Errorf("group of reference 4 = %v, want the eight others", ids)
	}
}

func TestUnusableReferencesAreLeftOut(t *testing.T) {
	p := pool(9, -8)
	p[0].Problem = &detect.Problem{Kind: "truncated", Detail: "stops early"}
	p[1].Level = detect.None
	p[2].Reference = false
	if ids := New(p, Options{}).Judge(plain(99, -8)).Members; !slices.Equal(ids, []int64{4, 5, 6, 7, 8, 9}) {
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
		{"3 LU quieter", func(x *Track) { x.Level = -11 }, HoldBack, "quiet"},
		{"2.4 LU quieter", func(x *Track) { x.Level = -10.4 }, Check, "quiet"},
		{"2.05 LU quieter, with its peaks where they belong", func(x *Track) { x.Level = -10.05 }, Check, "quiet"},
		{"1.95 LU quieter, with its peaks where they belong", func(x *Track) { x.Level = -9.95 }, Ready, ""},
		{"1.8 LU quieter, with its peaks where they belong", func(x *Track) { x.Level = -9.8 }, Ready, ""},
		{"1.8 LU quieter, and its peaks too: turned down", func(x *Track) { x.Level, x.True = -9.8, -2.1 }, Check, "quiet"},
		{"turned down, and no peak known", func(x *Track) { x.Level, x.True = -9.8, detect.None }, Ready, ""},
		{"turned down by what nobody hears", func(x *Track) { x.Level, x.True = -8.9, -3 }, Ready, ""},
		{"headroom, and loud all the same", func(x *Track) { x.True = -3 }, Ready, ""},
		{"sub gone", func(x *Track) { x.Balance = shaped(equalised(usual, -8, 4), 1, tone{0, 0, 0, 0, 0, 0, -8}) }, HoldBack, "sub thin"},
		{"low shelf up", func(x *Track) { x.Balance = equalised(usual, 7, 0) }, HoldBack, "low end heavy"},
		{"low shelf down", func(x *Track) { x.Balance = equalised(usual, -2.9, 0) }, Check, "low end thin"},
		{"low shelf, as records differ", func(x *Track) { x.Balance = equalised(usual, 2, 0) }, Ready, ""},
		{"dull", func(x *Track) { x.Balance = equalised(usual, -3.9, 1) }, Check, "top dull"},
		{"bright", func(x *Track) { x.Balance = equalised(usual, 9, 1) }, HoldBack, "top bright"},
		{"a dull tilt is no heavy bass", func(x *Track) { x.Balance = equalised(usual, -6, 5) }, HoldBack, "top dull"},
		{"harsh", func(x *Track) { x.Balance = equalised(usual, 6, 2) }, HoldBack, "harsh"},
		{"hollow is no heavy bass", func(x *Track) { x.Balance = equalised(usual, -6, 3) }, HoldBack, "hollow"},
		{"muddy", func(x *Track) { x.Balance = equalised(usual, 6, 3) }, HoldBack, "muddy"},
		{"two things at once", func(x *Track) {
			x.Balance = equalised(equalised(usual, -8, 0), 6, 2)
		}, HoldBack, "low end thin; harsh"},
		{"low, sub and bass of the record only explain", func(x *Track) { x.LowEnd, x.Sub, x.Bass = 9, 9, -9 }, Ready, ""},
		{"louder as a whole changes no balance", func(x *Track) {
			x.Balance = shaped(usual, 1.5, everyLevel)
		}, Ready, ""},
		{"a balance that no equaliser makes", func(x *Track) {
			x.Balance = shaped(usual, 5, everyLevel)
		}, Ready, "unlike"},
		{"no air in the file", func(x *Track) { x.Balance.AirDB, x.Balance.ThirdsDB[7] = detect.None, detect.None }, Ready, ""},
		{"no third octaves in its record, and dull", func(x *Track) {
			x.Balance = equalised(usual, -9, 1)
			x.Balance.ThirdsDB = nil
		}, HoldBack, "top dull"},
		{"no balance known", func(x *Track) { x.Balance = detect.Empty().Balance }, Ready, ""},
		{"bass in opposite phase", func(x *Track) { x.Mono = -12 }, HoldBack, "mono loss"},
		{"more mono than all", func(x *Track) { x.Mono = 0 }, Ready, ""},
		{"over full scale like the rest", func(x *Track) { x.True = 0.9 }, Ready, ""},
		{"far over full scale", func(x *Track) { x.True = 3.5 }, Check, "over full scale"},
		{"clipped", func(x *Track) { x.Faults = []detect.Fault{{Kind: "clipped_hard", Detail: "d", AtS: 3}} }, HoldBack, "clipped"},
		{"clipped, and so over full scale", func(x *Track) {
			x.True, x.Faults = 3.5, []detect.Fault{{Kind: "clipped", Detail: "d", AtS: 3}}
		}, Check, "clipped"},
		{"changing", func(x *Track) {
			x.DriftPercent, x.ChangeAtS, x.ChangeFrom, x.ChangeTo = 9, 75, 128, 140
		}, Ready, "tempo change"},
		{"changing, but not said to what", func(x *Track) { x.ChangeAtS, x.ChangeFrom, x.ChangeTo = 75, 0, 0 }, Ready, ""},
		{"modulating", func(x *Track) { x.KeyChanges = []detect.KeyChange{{AtS: 75, From: "A minor", To: "B minor"}} }, Ready, "key change"},
		{"modulating, but not said where", func(x *Track) { x.KeyChanges = []detect.KeyChange{{AtS: detect.None, From: "A minor", To: "B minor"}} }, Ready, ""},
		{"drifting", func(x *Track) { x.DriftPercent = 2 }, Ready, "tempo drift"},
		{"truncated", func(x *Track) { x.Problem = &detect.Problem{Kind: "truncated"} }, HoldBack, "truncated"},
		{"silent", func(x *Track) { x.Level = detect.None }, HoldBack, "silence"},
		{"worst first", func(x *Track) { x.Level, x.Balance = -11, equalised(usual, -8, 0) }, HoldBack, "low end thin; quiet"},
		{"unreadable", func(x *Track) {
			x.Level, x.Problem = detect.None, &detect.Problem{Kind: "unsupported", Detail: "Layer I"}
		}, Unreadable, "format"},
	} {
		t.Run(c.name, func(t *testing.T) {
			x := plain(99, -8)
			x.BPM, x.Pattern = 128, fourFloor
			x.Balance.ThirdsDB = slices.Clone(x.Balance.ThirdsDB)
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

// What to do about a low end that cancels is said once, whether one figure tells or two.
func TestOneRemedy(t *testing.T) {
	for _, faults := range [][]detect.Fault{nil, {{Kind: "polarity_low", Detail: "d", AtS: 3}}} {
		x := plain(99, -8)
		x.BPM, x.Pattern, x.Mono, x.Faults = 128, fourFloor, -12, faults
		got := New(pool(9, -8), Options{}).Judge(x)
		said := strings.ToLower(strings.Join(got.Notes, " "))
		if len(got.Reasons) != 1 || strings.Count(said, "it cancels") != 1 || !strings.Contains(said, "the low end loses 12.0 db in mono") {
			t.Errorf("%d faults: %q", len(faults), got.Notes)
		}
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

func TestTrim(t *testing.T) {
	zero := 0.0
	for _, c := range []struct {
		name             string
		level, peak      detect.Value
		ceiling          *float64
		trim, safe, over detect.Value
	}{
		{"as loud", -8, -0.3, nil, 0, 0, 0},
		{"as loud, over the ceiling", -8, 0.2, nil, 0, 0, 0},
		{"quiet with headroom", -12, -6, nil, 4, 4, 0},
		{"quiet, some headroom", -12, -2.6, nil, 4, 2.3, 1.7},
		{"quiet, less than a tenth of headroom", -12, -0.35, nil, 4, 0, 4},
		{"a headroom of whole tenths is kept", -12, -0.7, nil, 4, 0.4, 3.6},
		{"headroom is rounded down", -12, -2.69, nil, 4, 2.3, 1.7},
		{"quiet, none", -12, -0.3, nil, 4, 0, 4},
		{"quiet, over the ceiling already", -12, 0.72, nil, 4, 0, 4},
		{"loud", -5, 0.5, nil, -3, -3, 0},
		{"a released record like the rest", -7.4, 0.2, nil, -0.6, -0.6, 0},
		{"a shade loud", -7.96, 0.2, nil, 0, 0, 0},
		{"half a tenth", -8.25, -6, nil, 0.3, 0.3, 0},
		{"half a tenth the other way", -7.75, -6, nil, -0.3, -0.3, 0},
		{"ceiling at full scale", -12, -2.6, &zero, 4, 2.6, 1.4},
		{"no peak known", -12, detect.None, nil, 4, detect.None, detect.None},
		{"loud, no peak known", -5, detect.None, nil, -3, -3, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			x := plain(99, float64(c.level))
			x.True = c.peak
			got := New(pool(9, -8), Options{Ceiling: c.ceiling}).Judge(x)
			if diff := cmp.Diff(unlimited(c.trim, c.safe, c.over), got.Trim, sameValue); diff != "" {
				t.Errorf("trim (-want +got):\n%s", diff)
			}
			if got.MismatchDB != c.level+8 {
				t.Errorf("mismatch %v, want %v", got.MismatchDB, c.level+8)
			}
		})
	}
}

// sameValue holds two values that do not exist for the same.
var sameValue = cmp.Comparer(func(a, b detect.Value) bool { return a == b || !a.Exists() && !b.Exists() })

// In no library does anything that is said of a level ask for more than 12 dB, pass
// the ceiling, or contradict itself.
func TestTrimsHoldTogether(t *testing.T) {
	j := New(pool(9, -8), Options{})
	rapid.Check(t, func(r *rapid.T) {
		x := plain(99, math.Round(rapid.Float64Range(-40, 6).Draw(r, "level")*1e4)/1e4)
		x.True = detect.Value(math.Round(rapid.Float64Range(-30, 6).Draw(r, "peak")*1e4) / 1e4)
		got := j.Judge(x)
		trim, safe, limiting := float64(got.Trim.TrimDB), float64(got.Trim.SafeDB), float64(got.Trim.LimitingDB)
		if d := trim + float64(got.MismatchDB); math.Abs(d) > 0.05+1e-9 {
			r.Fatalf("trim %v is not the negative of mismatch %v", trim, got.MismatchDB)
		}
		if trim <= 0 && safe != trim || trim > 0 && (safe < 0 || safe > trim) {
			r.Fatalf("safe %v of %v", safe, trim)
		}
		if trim > 0 && safe > 0 && float64(x.True)+safe > DefaultCeiling+1e-8 {
			r.Fatalf("safe %v from a peak at %v passes the ceiling", safe, x.True)
		}
		if math.Abs(trim-safe-limiting) > 1e-9 {
			r.Fatalf("%v - %v is not %v", trim, safe, limiting)
		}
		i := slices.IndexFunc(got.Reasons, func(c string) bool { return c == reason.Quiet || c == reason.Loud })
		if i < 0 {
			return
		}
		var off float64
		if _, err := fmt.Sscanf(got.Notes[i], "%f LU", &off); err != nil || off != math.Abs(trim) {
			r.Fatalf("trim %v beside %q", trim, got.Notes[i])
		}
		question := strings.HasSuffix(got.Notes[i], fmt.Sprintf("%.1f dB is more than a trim should be: is this the finished file?", off))
		if order := strings.Contains(got.Notes[i], fmt.Sprintf(": trim %+.1f dB ", trim)); order == question || question != (off > 12) {
			r.Fatalf("trim %v: %q", trim, got.Notes[i])
		}
	})
}

func TestBands(t *testing.T) {
	s := func(v ...detect.Value) detect.Spectrum { return detect.Spectrum{LoudestDB: v} }
	p10, p50, p90 := Bands(
		[]detect.Spectrum{s(-20, -30, detect.None), s(-15, -20, detect.None), s(-10, -10, detect.None), s(0, 0, 0)},
		[]detect.Value{-10, -5, 0, detect.None})
	if p50[0] != -10 || p10[0] != -10 || p90[0] != -10 {
		t.Errorf("first band %v, %v, %v: level was not taken off", p10[0], p50[0], p90[0])
	}
	// Of three, another one lies under the lowest with a chance of a quarter.
	if p50[1] != -15 || p10[1] != -20 || p90[1] != -10 {
		t.Errorf("second band %v, %v, %v, want -20, -15, -10", p10[1], p50[1], p90[1])
	}
	if p50[2].Exists() {
		t.Errorf("third band = %v, want none", p50[2])
	}
}

// TestBandsHoldAnother: of nine tracks the range is from the lowest to the highest, of
// nineteen from the second to the second last, and of 24 halfway between two; (n+1)p is 1,
// 2 and 2.5 (type 6 of Hyndman and Fan).
func TestBandsHoldAnother(t *testing.T) {
	for n, want := range map[int]detect.Value{9: 1, 19: 2, 24: 2.5, 1: 1} {
		var spectra []detect.Spectrum
		var levels []detect.Value
		for i := range n {
			spectra, levels = append(spectra, detect.Spectrum{LoudestDB: detect.Values{detect.Value(n - i)}}), append(levels, 0)
		}
		p10, _, p90 := Bands(spectra, levels)
		if math.Abs(float64(p10[0]-want)) > 1e-9 || math.Abs(float64(p90[0]-(detect.Value(n+1)-want))) > 1e-9 {
			t.Errorf("%d tracks: from %v to %v, want %v from both ends", n, p10[0], p90[0], want)
		}
	}
}

// BenchmarkJudge judges a library of 20,000 tracks with 10,000 references.
func BenchmarkJudge(b *testing.B) {
	r := rand.New(rand.NewPCG(1, 2))
	ts := make([]Track, 20000)
	for i := range ts {
		ts[i] = random(r, int64(i), 1)
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
