package reason

import (
	"strings"
	"testing"
)

// TestAdvised reads the sentences of moves.
func TestAdvised(t *testing.T) {
	for _, c := range []struct {
		a    Advised
		want string
	}{
		{Advised{Filter: LowShelf, Hz: 55.2, DB: 4.52, Off: -5.04}, "Below 55 Hz you are 5.0 dB under your references: low shelf at 55 Hz, +4.5 dB."},
		{Advised{Filter: HighShelf, Hz: 8149, DB: -3, Off: 2.9}, "Above 8.1 kHz you are 2.9 dB over your references: high shelf at 8.1 kHz, -3.0 dB."},
		{Advised{Filter: Bell, Hz: 346, DB: -4, Q: 0.72, Off: 3.8}, "Around 350 Hz you are 3.8 dB over your references: bell at 350 Hz, Q 0.7, -4.0 dB."},
		{Advised{Filter: Bell, Hz: 3151, DB: -6, Q: 4.3, Off: 5.8},
			"A narrow peak near 3.2 kHz is 5.8 dB over your references, which sounds harsh: bell at 3.2 kHz, Q 4.3, -6.0 dB; sweep it for the exact place."},
		{Advised{Filter: Bell, Hz: 300, DB: -6, Q: 4.3, Off: 5.8}, "Around 300 Hz you are 5.8 dB over your references: bell at 300 Hz, Q 4.3, -6.0 dB."},
		{Advised{Filter: Bell, Hz: 3151, DB: -6, Q: 2, Off: 5.8}, "Around 3.2 kHz you are 5.8 dB over your references: bell at 3.2 kHz, Q 2.0, -6.0 dB."},
		{Advised{Filter: LowShelf, Hz: 60, DB: 12, Off: -12.04}, "Below 60 Hz you are 12.0 dB under your references: low shelf at 60 Hz, +12.0 dB."},
		{Advised{Filter: HighShelf, Hz: 4000, DB: 12, Off: -12.06}, "Above 4 kHz you are more than 12 dB under your references: no equaliser mends that: ask whether this is the right file, or go back to the mix."},
		{Advised{Filter: LowShelf, Hz: 60, DB: -12, Off: 16.9, Above: true}, "Below 60 Hz you are more than 12 dB over your references: no equaliser mends that: ask whether this is the right file, or go back to the mix."},
		{Advised{Filter: LowShelf, Hz: 60, DB: 6, Off: -5.5, Above: true},
			"Below 60 Hz you are 5.5 dB under your references once levels match, but not in the file: the bottom is as strong as theirs, " +
				"what lies above it is too loud: high shelf at 60 Hz, -6.0 dB."},
		{Advised{Filter: LowShelf, Hz: 60, DB: -6, Off: 5.5, Above: true},
			"Below 60 Hz you are 5.5 dB over your references once levels match, but not in the file: the bottom is as strong as theirs, " +
				"what lies above it is too quiet: high shelf at 60 Hz, +6.0 dB."},
	} {
		if got := c.a.Sentence(); got != c.want {
			t.Errorf("%s\nwant %s", got, c.want)
		}
	}
}

// TestRemains reads what is said of the rest.
func TestRemains(t *testing.T) {
	got := Remains([]Outside{{63, 63, 2.1}, {12500, 16000, -3}}, false)
	if want := "Still outside the range of your references: 63 Hz, up to 2.1 dB over; 12.5 kHz to 16 kHz, up to 3.0 dB under."; got != want {
		t.Errorf("%s\nwant %s", got, want)
	}
	if got := Remains([]Outside{{40, 40, 9}}, true); got != "Outside the range of your references, as single records are: 40 Hz, up to 9.0 dB over." {
		t.Error(got)
	}
	for to, want := range map[float64]string{250: "sum that part to mono, or look for a channel that is upside down.", 315: "listen in mono, and look for a channel that is upside down or late."} {
		if got := (Width{From: 200, To: to, Off: 13}).Sentence(); !strings.HasSuffix(got, "more than 12 dB wider than your references: "+want) {
			t.Error(got)
		}
	}
	if got := Remains(nil, true); got != "" {
		t.Error(got)
	}
	if got := MoveCaution(6, true); got != "By 6 references, which are few: trust your ears over it." {
		t.Error(got)
	}
	if got := MonoPlace(-60, 80, 83); got != "in mono nothing is left around 80 Hz at 1:23" {
		t.Error(got)
	}
	if got := MonoPlace(-4.44, 10000, 83); got != "in mono most is lost around 10 kHz at 1:23, 4.4 dB" {
		t.Error(got)
	}
}

// TestFilterNames: a filter is written by its name and read back; no other name is one.
func TestFilterNames(t *testing.T) {
	for _, f := range []Filter{LowShelf, HighShelf, Bell} {
		text, err := f.MarshalText()
		var back Filter
		if err != nil || back.UnmarshalText(text) != nil || back != f {
			t.Errorf("%s comes back as %s", text, back)
		}
	}
	var f Filter
	if err := f.UnmarshalText([]byte("comb")); err == nil || !strings.Contains(err.Error(), `"comb"`) {
		t.Errorf("%v", err)
	}
}
