package judge

import (
	"strings"
	"testing"

	"dubgauge/detect/reason"
)

func TestNames(t *testing.T) {
	long := strings.Repeat("ä", 252)
	for _, tt := range []struct {
		path string
		want reason.Kind // "": none
	}{
		{"Crate/Night Ferry (dub).wav", ""}, {"a/Björn 🎛.flac", ""}, {"a/b.tar.gz", ""}, {"a/COM10.wav", ""}, {"a/.hidden", ""},
		{"a/Which?.wav", reason.Name}, {"a/7\".wav", reason.Name}, {"a\\b.wav", reason.Name}, {"a:b/c.wav", reason.Name}, {"a/pipe|.wav", reason.Name}, {"a/star*.wav", reason.Name},
		{"a/line\nbreak.wav", reason.Name}, {"a/bad\xff.wav", reason.Name}, {"folder./x.wav", reason.Name}, {"folder /x.wav", reason.Name}, {"a/con.wav", reason.Name}, {"lpt1", reason.Name},
		{long + ".wav", reason.Name}, {long[:500] + ".wav", ""}, {strings.Repeat("folder/", 40) + "x.wav", reason.Name},
	} {
		if got := pathProblem(tt.path); (got != "") != (tt.want != "") {
			t.Errorf("%q: %q, want %q", tt.path, got, tt.want)
		}
	}
}

func TestNamesThatFallTogether(t *testing.T) {
	got := clashes([]string{"A/x.wav", "a/X.wav", "b/Bj\u00f6rn.wav", "b/Bjo\u0308rn.wav", "c/x.wav"})
	if len(got) != 4 {
		t.Fatalf("%+v", got)
	}
	for i, want := range []string{"upper and lower case", "upper and lower case", "Unicode form", "Unicode form"} {
		if got[i].Kind != string(reason.NameClash) || !strings.Contains(got[i].Detail, want) {
			t.Errorf("%+v, want %s", got[i], want)
		}
	}
}

func TestTooLarge(t *testing.T) {
	if _, bad := tooLarge(1<<32 - 1); bad {
		t.Error("4 GiB - 1 fits on FAT32")
	}
	if f, bad := tooLarge(1 << 32); !bad || f.Kind != string(reason.FileSize) {
		t.Errorf("4 GiB does not fit on FAT32: %+v", f)
	}
}

// TestNamesThatOnlyCaseFolds: FAT and exFAT compare names by the upper case of single
// characters (exFAT specification, clause 7.2), so that sharp s and ss are two names.
func TestNamesThatOnlyCaseFolds(t *testing.T) {
	for _, c := range []struct {
		a, b  string
		clash bool
	}{
		{"Wei\u00df.wav", "Weiss.wav", false},
		{"Wei\u00df.wav", "WEI\u00df.wav", true},
		{"\u00c4pfel.wav", "\u00e4pfel.wav", true},
		{"o\ufb03ce.wav", "office.wav", false}, // a ligature
		{"\u03a3.wav", "\u03c3.wav", true},     // sigma
	} {
		if got := len(clashes([]string{c.a, c.b})) > 0; got != c.clash {
			t.Errorf("%q and %q clash: %v, want %v", c.a, c.b, got, c.clash)
		}
	}
}
