package setlist

import (
	"math"
	"slices"
	"strings"
	"testing"

	"dubgauge/detect"
	"dubgauge/detect/key"
	"dubgauge/detect/reason"
)

// TestPitch: semitones against 12 log2(ratio), with ratios that are known: the semitone and
// the fifth of equal temperament, and 8 % of a turntable, 1.33 semitones.
func TestPitch(t *testing.T) {
	for ratio, want := range map[float64]float64{1: 0, math.Pow(2, 1.0/12): -1, math.Pow(2, -7.0/12): 7, 1.08: -1.3324, 0.92: 1.4435} {
		if got := Pitch(ratio); math.Abs(got-want) > 5e-5 {
			t.Errorf("ratio %v: %v semitones, want %v", ratio, got, want)
		}
	}
	if math.Abs(Pitch(1+AudibleTempo/100)+0.5) > 1e-12 {
		t.Errorf("the limit of %v %% is not half a semitone", AudibleTempo)
	}
}

// TestFolded: the ratio that lies nearest to 1 in octaves.
func TestFolded(t *testing.T) {
	for _, c := range []struct{ from, to, want float64 }{
		{120, 126, 1.05}, {126, 120, 120.0 / 126}, {87, 174, 1}, {174, 87, 1}, {130, 174, 174.0 / 130}, {100, 150, 0.75}, {70, 140 * 1.02, 1.02}, {120, 30.6, 1.02},
	} {
		if got := folded(c.from, c.to); math.Abs(got-c.want) > 1e-12 {
			t.Errorf("%v to %v BPM: %v, want %v", c.from, c.to, got, c.want)
		}
	}
}

// TestStep: the figures of one step, worked out by hand.
func TestStep(t *testing.T) {
	a, b := madeUp(-8, 120, "A minor"), madeUp(-10, 123.6, "E minor")
	a.End.LUFS, b.Start.LUFS = -12, -11
	a.End.SubDB, b.Start.SubDB, a.End.BassDB, b.Start.BassDB = -4, -2, 1, -2
	b.Loudest.SubDB, b.Loudest.BassDB = -5, 2
	a.TrimDB, b.TrimDB, a.TempoConfidence, b.KeyConfidence = 0.5, 2, 0.5, 0.8
	a.End.Covered = 0.25
	s := Check([]Track{a, b}, Options{}).Steps[0]
	for _, c := range []struct {
		what      string
		got, want detect.Value
	}{
		{"level", s.Level.LU, -2}, {"level, single trims", s.Level.SingleLU, -0.5}, {"level, levelled", s.Level.LevelledLU, -0.5},
		{"join", s.JoinLevel.LU, 1}, {"join, single trims", s.JoinLevel.SingleLU, 2.5}, {"join, levelled", s.JoinLevel.LevelledLU, 2.5},
		{"sub", s.Sub.DB, -2}, {"bass", s.Bass.DB, 2}, {"join sub", s.JoinSub.DB, 2}, {"join bass", s.JoinBass.DB, -3},
		{"percent", s.Tempo.Percent, 3}, {"semitones", s.Tempo.Semitones, -0.5117}, {"cents", s.Tempo.Cents, -51.17}, {"off", s.Key.OffCents, 48.83},
		{"level sure", s.Level.Confidence, 1}, {"join sure", s.JoinLevel.Confidence, 0.25}, {"join sub sure", s.JoinSub.Confidence, 0.25},
		{"tempo sure", s.Tempo.Confidence, 0.5}, {"key sure", s.Key.Confidence, 0.8},
	} {
		if math.Abs(float64(c.got-c.want)) > 0.005 {
			t.Errorf("%s: %v, want %v", c.what, c.got, c.want)
		}
	}
	if k := s.Key; k.From != "A minor" || k.To != "E minor" || k.Relation != key.FifthUp || k.Pitched != "Eb minor" || k.PitchedRelation != key.Far {
		t.Errorf("%+v", k)
	}
	a.Ends = false
	if s := Check([]Track{a, b}, Options{}).Steps[0]; s.JoinLevel.Confidence != 0 || s.JoinSub.Confidence != 0 || s.Level.Confidence != 1 {
		t.Errorf("ends that were not measured: %+v", s)
	}
	b.BPM, b.Key, b.KeyName, b.Loudest.LUFS = detect.None, key.NoKey, "", detect.None
	if s := Check([]Track{a, b}, Options{}).Steps[0]; s.Tempo.Percent.Exists() || s.Tempo.Confidence != 0 || s.Key.Relation != "" || s.Key.Confidence != 0 || s.Level.LU.Exists() || s.Level.Confidence != 0 {
		t.Errorf("without figures: %+v", s)
	}
}

// TestStepOfChanges: a track whose tempo and key change is left at the last of each.
func TestStepOfChanges(t *testing.T) {
	m := detect.Empty()
	m.Tempo.BPM, m.Tempo.Confidence, m.Tempo.ChangeFromBPM, m.Tempo.ChangeToBPM = 128, 1, 120, 128
	m.Key = &detect.Key{Name: "A minor", Confidence: 1, Changes: []detect.KeyChange{{From: "A minor", To: "C major"}, {From: "C major", To: "G major"}}}
	a := Of(1, &m, detect.None)
	if a.BPM != 120 || a.EndBPM != 128 || a.KeyName != "A minor" || a.EndKeyName != "G major" {
		t.Errorf("%+v", a)
	}
	m.Tempo.Changes = []detect.TempoChange{{ToBPM: 128}, {ToBPM: 140}}
	if a = Of(1, &m, detect.None); a.EndBPM != 140 {
		t.Errorf("ends at %v BPM", a.EndBPM)
	}
	if s := Check([]Track{a, madeUp(-8, 140, "G major")}, Options{}).Steps[0]; s.Tempo.Percent != 0 || s.Key.Relation != key.Same || s.Cost.Tempo > 0.5 || s.Cost.Key != 0 {
		t.Errorf("%+v", s)
	}
}

// TestOf: levels are as played, the parts those that were measured, else the loudest 30 s.
func TestOf(t *testing.T) {
	m := detect.Empty()
	m.File.Channels, m.File.DurationS = 1, 80
	m.Loudness.Loudest30sLUFS, m.Loudness.Loudest30sStartS, m.Loudness.Loudest30sOverS = -12, 55, 25
	m.LowEnd.SubDB, m.LowEnd.BassDB = -3, 1
	a := Of(7, &m, 2)
	if math.Abs(float64(a.Loudest.LUFS)+12-3.0103) > 1e-4 || a.Start != a.Loudest || a.End != a.Loudest || a.Ends || a.Loudest.ToS != 80 || math.Abs(float64(a.Loudest.Covered)-25.0/30) > 1e-9 || a.TrimDB != 2 || a.ID != 7 {
		t.Errorf("%+v", a)
	}
	m.Edges = &detect.Edges{Start: detect.Edge{FromS: 4, ToS: 64, LUFS: -15, SubDB: -6, BassDB: 0, Beat: true}, End: detect.Edge{FromS: 30, ToS: 60, LUFS: -14, SubDB: -5, BassDB: 2}}
	m.Key = &detect.Key{Name: "Eb minor", Confidence: 0.5}
	a = Of(7, &m, 2)
	if a.KeyName != "Eb minor" || a.EndKeyName != "Eb minor" || a.Key != (key.Key{Tonic: 3, Mode: key.Minor}) || a.KeyConfidence != 0.5 {
		t.Errorf("%+v", a)
	}
	if !a.Ends || math.Abs(float64(a.Start.LUFS)+15-3.0103) > 1e-4 || math.Abs(float64(a.End.LUFS)+14-3.0103) > 1e-4 || !a.Start.Beat || a.End.Beat ||
		a.Start.Covered != 1 || a.End.Covered != 0.5 || a.Start.FromS != 4 || a.End.ToS != 60 || a.End.SubDB != -5 || a.End.BassDB != 2 {
		t.Errorf("%+v", a)
	}
}

// planted is a set of twelve like tracks with one fault a place: what must be found.
func planted() []Track {
	var tracks []Track
	for i := range 12 {
		k := []string{"A minor", "E minor", "A minor", "C major"}[i%4]
		t := madeUp(-8+0.1*float64(i%3), 124+0.5*float64(i), k)
		t.Loudest.SubDB += detect.Value(0.3 * float64(i%2))
		tracks = append(tracks, t)
	}
	return tracks
}

func codesOf(s *Step) (codes []string) {
	for _, f := range s.Flags {
		codes = append(codes, f.Code)
	}
	return codes
}

// TestFlags: a planted step is flagged where it is, with its name; like tracks are not.
func TestFlags(t *testing.T) {
	for i, s := range Check(planted(), Options{}).Steps {
		if len(s.Flags) > 0 {
			t.Errorf("step %d of a plain set: %v", i, s.Flags)
		}
	}
	for name, c := range map[string]struct {
		plant func(x *Track)
		into  []string // from the fifth step, and the same out of it
		says  string
	}{
		"level": {func(x *Track) { x.Loudest.LUFS -= 4; x.Start.LUFS -= 4; x.End.LUFS -= 4 }, []string{reason.LevelStep}, "LU quieter than the track before it; with the trims of the list"},
		"sub":   {func(x *Track) { x.Loudest.SubDB -= 6; x.Start.SubDB -= 6; x.End.SubDB -= 6 }, []string{reason.SubStep}, "dB less sub (20 to 60 Hz)"},
		"bass":  {func(x *Track) { x.Loudest.BassDB += 5 }, []string{reason.BassStep}, "dB more bass (60 to 150 Hz)"},
		"tempo": {func(x *Track) { x.BPM *= 1.1; x.EndBPM *= 1.1 }, []string{reason.TempoStep}, "10.4 % faster than the track before it: at that one's tempo it sounds 1.7 semitones lower"},
		"key": {func(x *Track) {
			x.Key, x.KeyName, x.EndKey, x.EndKeyName = key.Key{Tonic: 10, Mode: key.Minor}, "Bb minor", key.Key{Tonic: 10, Mode: key.Minor}, "Bb minor"
		}, []string{reason.KeyClash}, "Bb minor after C major, a distant key: mix where one of them is drums alone (100 % sure)"},
		"join":       {func(x *Track) { x.Start.LUFS -= 5; x.End.LUFS -= 5 }, []string{reason.JoinLevel}, "Its start is 4.9 LU quieter than the end before it"},
		"join low":   {func(x *Track) { x.Start.SubDB, x.End.SubDB, x.Start.BassDB, x.End.BassDB = -9, -9, -5, -5 }, []string{reason.JoinSub}, "Its start has 6.0 dB less sub"},
		"join bass":  {func(x *Track) { x.Start.BassDB, x.End.BassDB = -5, -5 }, []string{reason.JoinBass}, "Its start has 5.0 dB less bass"},
		"unmeasured": {func(x *Track) { x.Ends = false; x.Start.LUFS -= 5; x.Start.SubDB -= 9 }, nil, ""},
		"just sure": {func(x *Track) {
			x.Key, x.KeyName, x.KeyConfidence, x.EndKey, x.EndKeyName = key.Key{Tonic: 10, Mode: key.Minor}, "Bb minor", 0.5, key.Key{Tonic: 10, Mode: key.Minor}, "Bb minor"
		}, []string{reason.KeyClash}, "(50 % sure)"},
		"unsure key": {func(x *Track) {
			x.Key, x.KeyName, x.KeyConfidence = key.Key{Tonic: 10, Mode: key.Minor}, "Bb minor", 0.49
		}, nil, ""},
	} {
		tracks := planted()
		c.plant(&tracks[4])
		set := Check(tracks, Options{})
		for i, s := range set.Steps {
			want := c.into
			if i != 3 && i != 4 {
				want = nil
			}
			if got := codesOf(&s); !slices.Equal(got, want) {
				t.Errorf("%s: step %d is flagged %v, want %v", name, i, got, want)
			}
		}
		if f := set.Steps[3].Flags; len(f) > 0 && !strings.Contains(f[0].Note, c.says) {
			t.Errorf("%s: %q, want %q", name, f[0].Note, c.says)
		}
	}
}

// TestFlagsOrdinary: what the whole set does is not flagged; with a smaller limit, or fewer
// steps, it is.
func TestFlagsOrdinary(t *testing.T) {
	var tracks []Track
	keys := []string{"A minor", "Bb minor"}
	for i := range 10 {
		tracks = append(tracks, madeUp(-8+3*float64(i%2), 124, keys[i%2]))
	}
	for i, s := range Check(tracks, Options{}).Steps {
		if len(s.Flags) > 0 {
			t.Errorf("step %d of a set that goes up and down: %v", i, s.Flags)
		}
	}
	if s := Check(tracks[:4], Options{}).Steps[0]; !slices.Equal(codesOf(&s), []string{reason.LevelStep, reason.KeyClash}) {
		t.Errorf("a few such steps: %v", codesOf(&s))
	}
	if s := Check(tracks[:4], Options{Limits: Limits{LevelLU: 3.5}}).Steps[0]; !slices.Equal(codesOf(&s), []string{reason.KeyClash}) {
		t.Errorf("a limit of 3.5 LU: %v", codesOf(&s))
	}
	if s := Check(tracks[:4], Options{Limits: Limits{KeyNotes: 5}}).Steps[0]; !slices.Contains(codesOf(&s), reason.KeyClash) || s.Flags[len(s.Flags)-1].Past != s.Key.Confidence {
		t.Errorf("a limit of the five notes that differ: %+v", s.Flags)
	}
	if s := Check(tracks[:4], Options{Limits: Limits{KeyNotes: 5.1}}).Steps[0]; !slices.Equal(codesOf(&s), []string{reason.LevelStep}) {
		t.Errorf("a limit past the five notes that differ: %v", codesOf(&s))
	}
	if s := Check(tracks, Options{Limits: Limits{Spreads: 0.1}}).Steps[0]; !slices.Contains(codesOf(&s), reason.LevelStep) {
		t.Errorf("a tenth of a spread: %v", codesOf(&s))
	}
	for n := range 3 {
		if s := Check(tracks[:n], Options{}); len(s.Steps) != max(0, n-1) || len(s.Levelling.Trims) != n {
			t.Errorf("%d tracks: %+v", n, s)
		}
	}
}

// TestClashesThatAreTheRule: three of eight steps that clash are more than a third, three of nine are not.
func TestClashesThatAreTheRule(t *testing.T) {
	keys := []string{"A minor", "A minor", "A minor", "Bb minor", "A minor", "A minor", "A minor", "A minor", "Bb minor", "Bb minor"}
	for tracks, want := range map[int]int{9: 0, 10: 3} {
		var list []Track
		for _, k := range keys[:tracks] {
			list = append(list, madeUp(-8, 124, k))
		}
		named := 0
		for _, s := range Check(list, Options{}).Steps {
			named += len(s.Flags)
		}
		if named != want {
			t.Errorf("%d tracks: %d clashes named, want %d", tracks, named, want)
		}
	}
}

// TestAudible: the steps past the limits, whether or not they are ordinary.
func TestAudible(t *testing.T) {
	tracks := planted()
	tracks[4].Loudest.LUFS -= 4
	tracks[4].Loudest.BassDB += 2
	tracks[6].Loudest.SubDB += 3
	tracks[6].Loudest.BassDB += 3
	tracks[8].BPM *= 1.1
	tracks[9].Key, tracks[9].KeyName, tracks[9].KeyConfidence = key.Key{Tonic: 10, Mode: key.Minor}, "Bb minor", 0.1
	s := Check(tracks, Options{})
	if got, want := s.Audible(Limits{}), (Audible{Tempo: 1, Key: 1, Level: 2, LowEnd: 4}); got != want {
		t.Errorf("%+v, want %+v", got, want)
	}
	if got, want := s.Audible(Limits{LevelLU: 5, LowEndDB: 4, TempoPercent: 20}), (Audible{Key: 1}); got != want {
		t.Errorf("%+v, want %+v", got, want)
	}
	if got := s.Audible(Limits{KeyNotes: 6}); got.Key != 0 {
		t.Errorf("%+v, want no clash from six notes on", got)
	}
}

// TestFollowers: of all, those that cost least, the cheapest first, with their steps.
func TestFollowers(t *testing.T) {
	from := madeUp(-8, 124, "A minor")
	all := []Track{madeUp(-8, 150, "Bb minor"), madeUp(-8, 124.5, "A minor"), madeUp(-8, 124, "E minor"), madeUp(-8, 124, "A minor"), madeUp(-14, 124, "A minor")}
	got := Followers(&from, all, 4, Options{})
	var order []int
	for _, f := range got {
		order = append(order, f.Index)
	}
	if !slices.Equal(order, []int{3, 1, 2, 4}) || got[2].Step.Key.Relation != key.FifthUp || got[3].Step.Level.LU != -6 || got[2].Step.Cost.Key != 0.2 {
		t.Errorf("%v, %+v", order, got)
	}
	if len(Followers(&from, all, 9, Options{})) != 5 || len(Followers(&from, nil, 3, Options{})) != 0 {
		t.Error("as many as there are")
	}
}

// TestCost: the formula, by hand; what is not known costs half of what is audible.
func TestCost(t *testing.T) {
	a, b := madeUp(-8, 120, "A minor"), madeUp(-10, 120*(1+2*AudibleTempo/100), "Bb minor")
	b.Loudest.SubDB, b.Loudest.BassDB, b.Start.SubDB, b.Start.BassDB = -6, 3, 0, -3 // 3 dB either way
	b.TempoConfidence, b.KeyConfidence = 0.5, 0.5
	w := Options{Aim: Aim{Tempo: -1, Level: 1}}.filled().costs()
	got := w.of(&a, &b)
	// Level: the mean of 2 and 2 LU; low end: 3 dB of 1.5; aim: twice the limit faster, 2 LU quieter.
	want := Cost{Tempo: 0.5*2 + 0.5*0.5, Key: 0.5*1 + 0.5*0.5, Level: 0.5 * 2, LowEnd: 0.5 * 2, Aim: 2 + 2}
	for i, v := range []float64{got.Tempo - want.Tempo, got.Key - want.Key, got.Level - want.Level, got.LowEnd - want.LowEnd, got.Aim - want.Aim, got.Total - 1.25 - 0.75 - 1 - 1 - 4} {
		if math.Abs(v) > 1e-9 {
			t.Errorf("part %d of %+v, want %+v", i, got, want)
		}
	}
	w = Options{}.filled().costs()
	none := Track{Key: key.NoKey, EndKey: key.NoKey, BPM: detect.None, EndBPM: detect.None}
	for _, p := range []*Part{&none.Loudest, &none.Start, &none.End} {
		*p = Part{LUFS: detect.None, SubDB: detect.None, BassDB: detect.None}
	}
	if got := w.of(&a, &none); math.Abs(got.Total-0.5*(1+1+0.5+0.5)) > 1e-9 {
		t.Errorf("of nothing: %+v", got)
	}
}
