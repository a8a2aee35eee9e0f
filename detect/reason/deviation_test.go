package reason

import (
	"strings"
	"testing"
)

// The sentences as users know them; the figures are made up.
func TestDeviationSentences(t *testing.T) {
	tempo := func(centre float64) Group { return Group{Basis: BasisTempo, Tracks: 14, Centre: centre} }
	for _, c := range []struct {
		d    Deviation
		want string
	}{
		{Deviation{Code: Quiet, Value: -10.1, Off: -3.14, Against: tempo(-6.96), Trim: Trim{3.1, 3.1, 0}},
			"3.1 LU quieter than the 14 released tracks within 6 % of its tempo (median -7.0 LUFS): " +
				"trim +3.1 dB, which its peaks allow."},
		{Deviation{Code: Loud, Off: 2, Against: Group{Basis: BasisNamed, Tracks: 1, Centre: -9}, Trim: Trim{-2, -2, 0}, OneChannel: true},
			"2.0 LU louder than the named reference (median -9.0 LUFS): trim -2.0 dB. " +
				"It is a mono file, which plays 3 dB louder on two loudspeakers than it reads: allow for that."},
		{Deviation{Code: LowEndThin, Off: -4, Against: Group{Basis: BasisNamed, Tracks: 2, Centre: 3}},
			"Low end (20 to 150 Hz) 4.0 dB thinner than the 2 named references (median +3.0 dB): " +
				"raise it by about 4.0 dB with a low shelf, or bring the low EQ up while mixing."},
		{Deviation{Code: SubHeavy, Off: 4.26, Against: Group{Basis: BasisReleased, Tracks: 30, Centre: -1}},
			"Sub (20 to 60 Hz) 4.3 dB heavier than the 30 released tracks (median -1.0 dB): " +
				"lower it by about 4.3 dB below 60 Hz before it eats the headroom of the system."},
		{Deviation{Code: BassThin, Off: -4, Against: Group{Basis: BasisReleased, Tracks: 6, Few: true, Centre: 0}},
			"Bass (60 to 150 Hz) 4.0 dB thinner than the 6 released tracks (median +0.0 dB, few): " +
				"raise it by about 4.0 dB between 60 and 150 Hz."},
		{Deviation{Code: MonoLoss, Value: -5.5, Off: -5, Against: tempo(-0.5)},
			"The low end loses 5.5 dB in mono, 5.0 dB more than the 14 released tracks within 6 % of its tempo (median -0.5 dB): " +
				"sum the low end to mono below about 150 Hz and listen in mono."},
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
		s := Deviation{Code: code, Off: 3, Against: Group{Basis: BasisReleased, Tracks: 20}}.Sentence()
		if s == "" || strings.ContainsAny(s, "{}") || !strings.HasSuffix(s, ".") || !strings.Contains(s, "3.0") ||
			!strings.Contains(s, " than the 20 released tracks (median ") {
			t.Errorf("%s: %q", code, s)
		}
		if strings.ContainsAny(code, ";,\"_") {
			t.Errorf("code %q cannot stand in a list that is separated by semicolons", code)
		}
	}
}

func TestTrimWords(t *testing.T) {
	for _, c := range []struct {
		trim Trim
		want string
	}{
		{Trim{0, 0, 0}, "trim +0.0 dB"},
		{Trim{-2, -2, 0}, "trim -2.0 dB"},
		{Trim{2, 2, 0}, "trim +2.0 dB, which its peaks allow"},
		{Trim{-1, -1.5, 0.5}, "trim -1.0 dB, or -1.5 dB to keep its true peak under the ceiling as well"},
		{Trim{4, 1, 3}, "it needs +4.0 dB, of which its peaks allow +1.0 dB; the rest is 3.0 dB of limiting in the master"},
	} {
		if got := c.trim.words(); got != c.want {
			t.Errorf("%+v: %q, want %q", c.trim, got, c.want)
		}
	}
}

func TestProblems(t *testing.T) {
	for _, c := range []struct {
		kind                 ProblemKind
		detail, code, wanted string
	}{
		{ProblemUnsupported, "layer I", "format", "Unsupported: layer I: convert a copy to WAV, AIFF, FLAC or MP3."},
		{ProblemDamaged, "damaged in the header", "damaged", "Damaged in the header: copy the file again from its source."},
		{ProblemTruncated, "ends early", "truncated", "Truncated: ends early: copy the file again from its source."},
		{ProblemUnreadable, "permission denied", "unreadable",
			"Unreadable: permission denied: check the stick and the permissions of the file."},
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
