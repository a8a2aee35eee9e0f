package reason

import (
	"math"
	"strings"
	"testing"
)

// The sentences as users know them; the figures are made up.
func TestDeviationSentences(t *testing.T) {
	like := func(centre float64) Group { return Group{Basis: BasisLike, Tracks: 14, Centre: centre} }
	for _, c := range []struct {
		d    Deviation
		want string
	}{
		{Deviation{Code: Quiet, Value: -10.1, Off: -3.14, Against: like(-6.96), Trim: Trim{Wanted: 3.1, Safe: 3.1}},
			"3.1 LU quieter than the 14 released tracks most like it (median -7.0 LUFS): " +
				"trim +3.1 dB at the mixer or in the file; its peaks allow it."},
		{Deviation{Code: Loud, Off: 2, Against: Group{Basis: BasisNamed, Tracks: 1, Centre: -9}, Trim: Trim{Wanted: -2, Safe: -2}},
			"2.0 LU louder than the named reference (median -9.0 LUFS): trim -2.0 dB at the mixer or in the file."},
		{Deviation{Code: Quiet, Off: -13.2, Against: Group{Basis: BasisNamed, Tracks: 1, Centre: -9}, Trim: Trim{Wanted: 13.2, Safe: 1, Limiting: 12.2}},
			"13.2 LU quieter than the named reference (median -9.0 LUFS). " +
				"13.2 dB is more than a trim should be: is this the finished file?"},
		{Deviation{Code: LowEndThin, Off: -25.04, Against: Group{Basis: BasisNamed, Tracks: 1, Centre: -4}},
			"Low end (20 to 150 Hz) 25.0 dB thinner than the named reference (median -4.0 dB). " +
				"More than 12 dB is too much for an EQ: is this the finished file?"},
		{Deviation{Code: MonoLoss, Value: -20.04, Off: -19.58, Against: Group{Basis: BasisNamed, Tracks: 1, Centre: -0.46}},
			"The low end loses 20.0 dB in mono, 19.5 dB more than the named reference (median -0.5 dB): " +
				"use the low end of one channel for both below about 150 Hz, and listen in mono; summed as it is, it cancels."},
		{Deviation{Code: MonoLoss, Value: -6.04, Off: -5.5, Against: like(-0.5)},
			"The low end loses 6.0 dB in mono, 5.5 dB more than the 14 released tracks most like it (median -0.5 dB): " +
				"sum the low end to mono below about 150 Hz and listen in mono."},
		{Deviation{Code: MonoLoss, Value: -6.1, Off: -5.6, Against: like(-0.5)},
			"The low end loses 6.1 dB in mono, 5.6 dB more than the 14 released tracks most like it (median -0.5 dB): " +
				"use the low end of one channel for both below about 150 Hz, and listen in mono; summed as it is, it cancels."},
		{Deviation{Code: LowEndThin, Off: -4, Against: Group{Basis: BasisNamed, Tracks: 2, Centre: 3}},
			"Low end (20 to 150 Hz) 4.0 dB thinner than the 2 named references (median +3.0 dB): " +
				"raise it by about 4.0 dB with a low shelf, or bring the low EQ up while mixing."},
		{Deviation{Code: LowEndHeavy, Off: 4.26, Against: Group{Basis: BasisReleased, Tracks: 6, Few: true, Centre: 0}},
			"Low end (20 to 150 Hz) 4.3 dB heavier than the 6 released tracks (median +0.0 dB, few): " +
				"lower it by about 4.3 dB with a low shelf, or take the low EQ down while mixing."},
		{Deviation{Code: MonoLoss, Value: -5.5, Off: -5, Against: like(-0.5)},
			"The low end loses 5.5 dB in mono, 5.0 dB more than the 14 released tracks most like it (median -0.5 dB): " +
				"sum the low end to mono below about 150 Hz and listen in mono."},
		{Deviation{Code: MonoLoss, Value: -20, Off: -20, Against: like(0), Answered: true},
			"The low end loses 20.0 dB in mono, 20.0 dB more than the 14 released tracks most like it (median +0.0 dB)."},
		{Deviation{Code: MonoLoss, Value: -39.9, Off: -39.9, Against: like(0), Answered: true},
			"The low end loses 39.9 dB in mono, 39.9 dB more than the 14 released tracks most like it (median +0.0 dB)."},
		{Deviation{Code: MonoLoss, Value: -100, Off: -99.5, Against: like(-0.5)},
			"Nothing is left of the low end in mono, against the 14 released tracks most like it (median -0.5 dB): " +
				"invert one channel below about 150 Hz, and listen in mono."},
		{Deviation{Code: MonoLoss, Value: -40, Off: -40, Against: like(0), Answered: true},
			"Nothing is left of the low end in mono, against the 14 released tracks most like it (median +0.0 dB)."},
		{Deviation{Code: Loud, Off: 2, Against: like(-9), Trim: Trim{Wanted: -2, Safe: -2}, Answered: true},
			"2.0 LU louder than the 14 released tracks most like it (median -9.0 LUFS): trim -2.0 dB at the mixer or in the file."},
		{Deviation{Code: OverFullScale, Value: 3.2, Off: 3.2, Against: Group{Basis: BasisFixed}},
			"True peak 3.2 dB over full scale, 3.2 dB more than the fixed value of +0.0 dBTP " +
				"(common practice, no source; too few references): turn it down before any stage that converts or encodes, or limit by true peak."},
	} {
		if got := c.d.Sentence(); got != c.want {
			t.Errorf("%s:\n got %q\nwant %q", c.d.Code, got, c.want)
		}
	}
}

func TestEveryDeviationIsSaidInOneSentence(t *testing.T) {
	for code := range sentences {
		s := Deviation{Code: code, Value: 3, Off: 3, Against: Group{Basis: BasisReleased, Tracks: 20}}.Sentence()
		if s == "" || strings.ContainsAny(s, "{}") || !strings.HasSuffix(s, ".") || !strings.Contains(s, "3.0") ||
			!strings.Contains(s, " than the 20 released tracks (median ") {
			t.Errorf("%s: %q", code, s)
		}
		if strings.ContainsAny(code, ";,\"_") {
			t.Errorf("code %q cannot stand in a list that is separated by semicolons", code)
		}
	}
}

// Every combination of signs and sizes that a trim can have.
// A track whose low end is thin has none to give.
func TestLessLowEnd(t *testing.T) {
	for _, short := range []float64{0, 3.2} {
		x := Trim{Wanted: 6, Safe: 1, Limiting: 6.5, P95: 4, Over2: 0.3, At: 92, Short: short}
		for thin, want := range map[bool]bool{false: true, true: false} {
			x.Thin = thin
			if got := x.Sentence(); strings.Contains(got, "less low end") != want || !strings.HasSuffix(got, ".") {
				t.Errorf("thin %v: %s", thin, got)
			}
		}
	}
}

func TestTrimWords(t *testing.T) {
	unknown := math.NaN()
	for _, c := range []struct {
		trim Trim
		want string
	}{
		{Trim{Wanted: 0, Safe: 0, Limiting: 0}, "0.0 dB, as loud as what it is held against."},
		{Trim{Wanted: -2, Safe: -2, Limiting: 0}, "-2.0 dB at the mixer or in the file."},
		{Trim{Wanted: -12, Safe: -12, Limiting: 0}, "-12.0 dB at the mixer or in the file."},
		{Trim{Wanted: 2, Safe: 2, Limiting: 0}, "+2.0 dB at the mixer or in the file; its peaks allow it."},
		{Trim{Wanted: 4, Safe: 1, Limiting: 3, P95: unknown}, "+4.0 dB at the mixer; in the file its peaks allow +1.0 dB, the rest takes at least 3.0 dB of limiting in the master."},
		{Trim{Wanted: 4, Limiting: 4, P95: unknown}, "+4.0 dB at the mixer; in the file its peaks leave no room, so it takes at least 4.0 dB of limiting in the master."},
		{Trim{Wanted: 3, Safe: 1, Limiting: 2.6, P95: 0.8, Over2: 0.004, At: 92, Short: unknown, Flat: 0.002},
			"+3.0 dB at the mixer; in the file its peaks allow +1.0 dB, the rest takes 2.6 dB of limiting in the master at most (0.8 dB or less for 95 % of the time, most at 1:32)."},
		{Trim{Wanted: 3, Safe: 1, Limiting: 2.6, P95: 0.04, Over2: 0.004, At: 92, Short: unknown, Flat: 0.002},
			"+3.0 dB at the mixer; in the file its peaks allow +1.0 dB, the rest takes 2.6 dB of limiting in the master at most (none for 95 % of the time, most at 1:32)."},
		{Trim{Wanted: 3, Limiting: 3, P95: 2.2, Over2: 0.066, At: unknown, Short: unknown, Flat: unknown},
			"+3.0 dB at the mixer; in the file its peaks leave no room, so it takes 3.0 dB of limiting in the master at most (2.2 dB or less for 95 % of the time, over 2 dB for 7 % of it)."},
		{Trim{Wanted: 3, Safe: 1, Limiting: 2.6, P95: 0.8, At: 92, Short: unknown, Flat: 0.1},
			"+3.0 dB at the mixer; in the file its peaks allow +1.0 dB, the rest takes 2.6 dB of limiting in the master at most (0.8 dB or less for 95 % of the time, most at 1:32). " +
				"It was limited or clipped already (10 % of its loudest part touches the top): go back to the mix rather than limit it again."},
		{Trim{Wanted: 6, Safe: 1, Limiting: 6.5, P95: 4, Over2: 0.3, At: 92, Short: 3.2, Flat: 0},
			"+6.0 dB at the mixer; in the file its peaks allow +1.0 dB, the rest takes 6.5 dB of limiting in the master at most (4.0 dB or less for 95 % of the time, over 2 dB for 30 % of it, most at 1:32). " +
				"That is more than about 3 dB at once: with no more the master stays 3.2 dB short, which is for the mix to give: peaks that stand out turned down there, or less low end."},
		{Trim{Wanted: 6, Safe: 1, Limiting: 6.5, P95: 4, Over2: 0.3, At: 92, Short: 3.2, Flat: 0.25},
			"+6.0 dB at the mixer; in the file its peaks allow +1.0 dB, the rest takes 6.5 dB of limiting in the master at most (4.0 dB or less for 95 % of the time, over 2 dB for 30 % of it, most at 1:32). " +
				"That is more than about 3 dB at once: with no more the master stays 3.2 dB short. It was limited or clipped already (25 % of its loudest part touches the top): go back to the mix rather than limit it again."},
		{Trim{Wanted: 0.3, Safe: 0, Limiting: 3.1, P95: 2, At: unknown, Short: 0.04, Flat: 0},
			"+0.3 dB at the mixer; in the file its peaks leave no room, so it takes 3.1 dB of limiting in the master at most (2.0 dB or less for 95 % of the time). " +
				"That is more than about 3 dB at once: better found in the mix, with peaks that stand out turned down there, or less low end."},
		{Trim{Wanted: 0.3, Safe: 0, Limiting: 3.1, P95: 2, At: unknown, Short: 0.06, Flat: 0},
			"+0.3 dB at the mixer; in the file its peaks leave no room, so it takes 3.1 dB of limiting in the master at most (2.0 dB or less for 95 % of the time). " +
				"That is more than about 3 dB at once: with no more the master stays 0.1 dB short, which is for the mix to give: peaks that stand out turned down there, or less low end."},
		{Trim{Wanted: 0.3, Safe: 0, Limiting: 3.1, P95: 2, At: unknown, Short: 0, Flat: 0.2},
			"+0.3 dB at the mixer; in the file its peaks leave no room, so it takes 3.1 dB of limiting in the master at most (2.0 dB or less for 95 % of the time). " +
				"That is more than about 3 dB at once: not for a limiter alone. It was limited or clipped already (20 % of its loudest part touches the top): go back to the mix rather than limit it again."},
		{Trim{Wanted: 9, Safe: 0, Limiting: unknown, P95: unknown, Short: 7.4, Flat: 0},
			"+9.0 dB at the mixer; in the file its peaks leave no room, and no limiter gets there: with 3 dB off at once the master stays 7.4 dB short, which is for the mix to give: peaks that stand out turned down there, or less low end."},
		{Trim{Wanted: 4, Safe: unknown, Limiting: unknown}, "+4.0 dB at the mixer; leave the file as it is, as its true peak is not known."},
		{Trim{Wanted: 12, Safe: 12, Limiting: 0}, "+12.0 dB at the mixer or in the file; its peaks allow it."},
		{Trim{Wanted: 12.1, Safe: 12.1, Limiting: 0}, "12.1 dB is more than a trim should be: is this the finished file?"},
		{Trim{Wanted: 13.2, Safe: 0, Limiting: 13.2}, "13.2 dB is more than a trim should be: is this the finished file?"},
		{Trim{Wanted: 13.2, Safe: unknown, Limiting: unknown}, "13.2 dB is more than a trim should be: is this the finished file?"},
		{Trim{Wanted: -12.1, Safe: -12.1, Limiting: 0}, "12.1 dB is more than a trim should be: is this the finished file?"},
	} {
		if got := c.trim.Sentence(); got != c.want {
			t.Errorf("%+v: %q, want %q", c.trim, got, c.want)
		}
	}
}

func TestProblems(t *testing.T) {
	for _, c := range []struct {
		kind                 ProblemKind
		detail, code, wanted string
	}{
		{ProblemUnsupported, "layer I", "format", "Unsupported: layer I. If it plays elsewhere, convert a copy to WAV, AIFF, FLAC or MP3; if it does not, replace the file."},
		{ProblemDamaged, "damaged in the header", "damaged", "Damaged in the header. Copy the file again from its source."},
		{ProblemTruncated, "ends early", "truncated", "Truncated: ends early. Copy the file again from its source."},
		{ProblemUnreadable, "permission denied", "unreadable",
			"Unreadable: permission denied. Check the stick and the permissions of the file."},
	} {
		if got := c.kind.Sentence(c.detail); got != c.wanted || c.kind.Reason() != c.code {
			t.Errorf("%s: code %q, %q, want %q", c.kind, c.kind.Reason(), got, c.wanted)
		}
	}
}

func TestDrift(t *testing.T) {
	if got, want := Drift(1.24), "The tempo drifts by 1.2 %: ride the pitch, or mix short."; got != want {
		t.Errorf("%q, want %q", got, want)
	}
}

func TestModulation(t *testing.T) {
	want := "The key changes from A minor to B minor at 1:15: mix by the key of the part that plays."
	if got := Modulation(75.3, "A minor", "B minor", 0); got != want {
		t.Errorf("%q, want %q", got, want)
	}
	want = "The key changes from A minor to B minor at 1:15, and again later: mix by the key of the part that plays."
	if got := Modulation(75.3, "A minor", "B minor", 1); got != want {
		t.Errorf("%q, want %q", got, want)
	}
}

func TestChange(t *testing.T) {
	want := "The tempo changes from 128.0 to 140.5 BPM at 1:15: set the pitch for the part that is mixed."
	if got := Change(75.3, 128, 140.5); got != want {
		t.Errorf("%q, want %q", got, want)
	}
}
