package playlist

import (
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// TestCSV reads tables written by hand and as spreadsheets write them (RFC 4180; semicolons
// where the comma is the decimal sign: common practice).
func TestCSV(t *testing.T) {
	one := func(path string) []Entry { return []Entry{{Path: path, DurationS: nan, Line: 2}} }
	for name, c := range map[string]struct {
		list string
		want []Entry
	}{
		"one column": {"path\na.wav\n", one("a.wav")},
		"commas": {"title,Path,artist,duration_s\nT,a.wav,A,301.5\n",
			[]Entry{{Path: "a.wav", Title: "T", Artist: "A", DurationS: 301.5, Line: 2}}},
		"semicolons": {"\xef\xbb\xbf\"PATH\";title;length\r\n\"a;b.wav\";\"say \"\"x\"\"\";301,5\r\n",
			[]Entry{{Path: "a;b.wav", Title: `say "x"`, DurationS: 301.5, Line: 2}}},
		"tabs":          {"no\tpath\tduration\n1\ta.wav\t5:01\n", []Entry{{Path: "a.wav", DurationS: 301, Line: 2}}},
		"hours":         {"path,duration\na.wav,1:05:01\n", []Entry{{Path: "a.wav", DurationS: 3901, Line: 2}}},
		"new line":      {"path,title\na.wav,\"T\nU\"\nb.wav,V\n", []Entry{{Path: "a.wav", Title: "T U", DurationS: nan, Line: 2}, {Path: "b.wav", Title: "V", DurationS: nan, Line: 4}}},
		"short rows":    {"title,path\nT\n,a.wav\n\n", []Entry{{Title: "T", DurationS: nan, Line: 2}, {Path: "a.wav", DurationS: nan, Line: 3}}},
		"URL":           {"path\nfile:///a%3Bb.wav\n", one("/a;b.wav")},
		"drive":         {"path\nC:\\a.wav\n", one("C:/a.wav")},
		"trim sheet":    {"path,title,root\na.wav,T,/media/S\n/b.wav,U,/media/S\n", []Entry{{Path: "/media/S/a.wav", Title: "T", DurationS: nan, Line: 2}, {Path: "/b.wav", Title: "U", DurationS: nan, Line: 3}}},
		"no formula":    {"path,title\n'-a.wav,'=1+1\n", []Entry{{Path: "-a.wav", Title: "=1+1", DurationS: nan, Line: 2}}},
		"an apostrophe": {"path,title\n'a.wav,it's\n", []Entry{{Path: "'a.wav", Title: "it's", DurationS: nan, Line: 2}}},
		"ISO 8859-1":    {"path;title\n\xdc.wav;\xe9\n", []Entry{{Path: "Ü.wav", Title: "é", DurationS: nan, Line: 2}}},
		"Mac":           {"path,title\ra.wav,T\r", []Entry{{Path: "a.wav", Title: "T", DurationS: nan, Line: 2}}},
		"two of a name": {"path,path\na.wav,b.wav\n", one("a.wav")},
		"blank lines":   {"\n\npath\na.wav\n", []Entry{{Path: "a.wav", DurationS: nan, Line: 4}}},
	} {
		t.Run(name, func(t *testing.T) {
			l := read(t, c.list, "set.txt")
			if d := cmp.Diff(c.want, l.Entries, sameLists); d != "" || l.Format != CSV || len(l.Warnings) > 0 {
				t.Errorf("format %q, warnings %v, entries (-want +got):\n%s", l.Format, l.Warnings, d)
			}
		})
	}
}

// TestCSVWarnings: rows and lengths that are passed over are said.
func TestCSVWarnings(t *testing.T) {
	l := read(t, "path,title,length\n,,5\na.wav,,x\nb.wav,,1:2:3:4\nc.wav,,-3\n", "x.csv")
	want := []Warning{
		{2, "a track without a place and without a title: passed over"},
		{3, `no length in seconds, or minutes and seconds, stands here: "x"`},
		{4, `no length in seconds, or minutes and seconds, stands here: "1:2:3:4"`},
		{5, `no length in seconds, or minutes and seconds, stands here: "-3"`},
	}
	if d := cmp.Diff(want, l.Warnings); d != "" || len(l.Entries) != 3 {
		t.Errorf("%d entries, warnings (-want +got):\n%s", len(l.Entries), d)
	}
}

// TestFormats: content decides, then the name.
func TestFormats(t *testing.T) {
	for _, c := range []struct {
		list, name string
		want       Format
	}{
		{"#EXTM3U\npath,x\n", "a.csv", M3U}, {"#EXTINF:1,a,path\n", "a.csv", M3U}, {" \n<a/>", "a.m3u", XSPF},
		{"path;x\n", "a.m3u", CSV}, {"a,b\n", "a.CSV", CSV}, {"a.wav\n", "a.xspf", XSPF}, {"a.wav\n", "a.m3u8", M3U}, {"a.wav\n", "a", M3U},
	} {
		if got := formatOf(c.list, c.name); got != c.want {
			t.Errorf("%q as %s: %q, not %q", c.list, c.name, got, c.want)
		}
	}
}

// TestCells: a cell is no formula, and gives back the text.
func TestCells(t *testing.T) {
	for text, want := range map[string]string{
		"a": "a", "=1": "'=1", "'=1": "''=1", "'a": "'a", "a; =1": "a; '=1", "-a;+b": "'-a;'+b", "a=1": "a=1", "": "", "'": "'",
		"\uFF1D1": "'\uFF1D1", ` "@x`: ` "'@x`,
	} {
		if got := toCell(text); got != want || fromCell(got) != text {
			t.Errorf("%q is written %q, not %q, and read %q", text, got, want, fromCell(got))
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.StringOf(rapid.SampledFrom([]rune("ab'=+-@; \"\uFF1DÜ"))).Draw(t, "text")
		cell := toCell(s)
		starts(cell, func(char string, i int, start bool) {
			if start && char != "'" && formula(cell[i:]) {
				t.Fatalf("%q, written %q, is a formula at %d", s, cell, i)
			}
		})
		if got := fromCell(cell); got != s {
			t.Fatalf("%q is written %q and read %q", s, cell, got)
		}
	})
}
