package tags

import (
	"math"
	"strings"
	"testing"
	"unicode/utf8"
)

func TestClean(t *testing.T) {
	for _, tt := range []struct{ name, in, want string }{
		{"plain", "Night Ferry", "Night Ferry"},
		{"white space", "  Night\t\r\n Ferry\u2028\u00A0 ", "Night Ferry"},
		{"escape sequence", "\x1b[31mRed\x1b[0m", "[31mRed[0m"},
		{"8-bit control", "a\u009b31mb", "a31mb"},
		{"NUL", "a\x00b", "ab"},
		{"byte order mark", "\uFEFFa\uFEFFb", "ab"},
		{"invalid UTF-8", "a\xffb", "a\uFFFDb"},
		{"decomposed", "Bjo\u0308rn", "Björn"},
		{"composed by dropping", "o\x01\u0308", "ö"},
		{"override and isolate", "a\u202Egpj.exe\u202C\u2066b\u2069", "agpj.exeb"},
		{"zero width space", "a\u200Bb", "ab"},
		{"joiner stays", "👩\u200D🎤", "👩\u200D🎤"},
		{"noncharacter", "a\uFFFFb\uFDD0", "ab"},
		{"right to left stays", "שלום", "שלום"},
		{"1000 characters", strings.Repeat("ä", 1000), strings.Repeat("ä", 1000)},
		{"1001 characters", strings.Repeat("ä", 1001), strings.Repeat("ä", 999) + "…"},
		{"1 MB", strings.Repeat("x", 1<<20), strings.Repeat("x", 999) + "…"},
		{"formula", "=1+1", "=1+1"}, // made safe where it is exported
	} {
		if got := clean(tt.in); got != tt.want {
			t.Errorf("%s: %q, want %q", tt.name, got, tt.want)
		}
	}
}

func TestParseBPM(t *testing.T) {
	for in, want := range map[string]float64{
		"128": 128, "128.00": 128, "127,5": 127.5, "174.5 BPM": 174.5, "0": 0, "0.00": 0, "": 0, "fast": 0, "-128": 0,
		"999": 999, "12800": 0, "NaN": 0, "Inf": 0, "1e2": 1,
	} {
		got := 0.0
		if v := parseBPM(in); v != nil {
			got = *v
		}
		if got != want {
			t.Errorf("%q: %g, want %g", in, got, want)
		}
	}
}

func TestParseYear(t *testing.T) {
	for in, want := range map[string]int{
		"2024": 2024, "2024-05-01": 2024, "2024-05-01T12:00:00Z": 2024, "01.05.2024": 2024, "20240501": 2024, "(1999)": 1999,
		"24": 0, "0000": 0, "3024": 0, "": 0, "12024": 0,
	} {
		if got := parseYear(in); got != want {
			t.Errorf("%q: %d, want %d", in, got, want)
		}
	}
}

func TestParseISRC(t *testing.T) {
	for in, want := range map[string]string{
		"QZABC2400017": "QZABC2400017", "qz-abc-24-00017": "QZABC2400017", "ISRC QZ ABC 24 00017": "QZABC2400017",
		"none": "", "0": "", "QZABC240001": "", "QZABC24000177": "", "1ZABC2400017": "",
	} {
		if got := parseISRC(in); got != want {
			t.Errorf("%q: %q, want %q", in, got, want)
		}
	}
}

// checkClean holds for every Tags, whatever it was read from.
func checkClean(t *testing.T, g Tags) {
	t.Helper()
	for _, s := range []string{g.Title, g.Artist, g.Album, g.Label, g.CatalogueNumber, g.ISRC, g.Genre, g.Comment, g.Key} {
		if !utf8.ValidString(s) || utf8.RuneCountInString(s) > MaxChars || clean(s) != s {
			t.Errorf("unclean: %q becomes %q", s, clean(s))
		}
		if strings.ContainsAny(s, "\x00\x1b\n\r\t\u202E\uFEFF") {
			t.Errorf("unclean: %q", s)
		}
	}
	if g.ISRC != "" && len(g.ISRC) != 12 || g.Year != 0 && (g.Year < 1900 || g.Year > 2099) {
		t.Errorf("ISRC %q, year %d", g.ISRC, g.Year)
	}
	if g.BPM != nil && !(*g.BPM > 0 && *g.BPM < maxBPM && !math.IsInf(*g.BPM, 0)) {
		t.Errorf("BPM %g", *g.BPM)
	}
}
