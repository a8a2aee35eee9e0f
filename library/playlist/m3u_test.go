package playlist

import (
	"context"
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
)

// nan is a length that is not known.
var nan = math.NaN()

// sameLists compares lists and takes two unknown lengths for equal.
var sameLists = cmp.Options{cmpopts.EquateNaNs(), cmpopts.EquateEmpty()}

func read(t *testing.T, s, name string) List {
	t.Helper()
	l, err := Read(context.Background(), strings.NewReader(s), name)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// TestM3U reads lists written by hand in the forms that are in use (common practice, no
// standard).
func TestM3U(t *testing.T) {
	one := func(path string) []Entry { return []Entry{{Path: path, DurationS: nan, Line: 1}} }
	for name, c := range map[string]struct {
		list string
		want []Entry
	}{
		"bare":              {"a/b.wav\n", one("a/b.wav")},
		"no end of line":    {"a/b.wav", one("a/b.wav")},
		"CRLF":              {"a.wav\r\nb.wav\r\n", []Entry{{Path: "a.wav", DurationS: nan, Line: 1}, {Path: "b.wav", DurationS: nan, Line: 2}}},
		"CR alone":          {"a.wav\rb.wav\r", []Entry{{Path: "a.wav", DurationS: nan, Line: 1}, {Path: "b.wav", DurationS: nan, Line: 2}}},
		"mark of UTF-8":     {"\xef\xbb\xbf#EXTM3U\nÜber.wav\n", []Entry{{Path: "Über.wav", DurationS: nan, Line: 2}}},
		"UTF-16":            {"\xff\xfe\xdc\x00.\x00w\x00\n\x00", one("Ü.w")},
		"UTF-16 big end":    {"\xfe\xff\x00\xdc\x00.\x00w", one("Ü.w")},
		"ISO 8859-1":        {"\xdcber/\xe9.wav\n", one("Über/é.wav")},
		"Windows-1252":      {"\x93x\x94 \x81.wav\n", one("“x” \u0081.wav")},
		"two encodings":     {"\xdc.wav\nÜ.wav\n", []Entry{{Path: "Ü.wav", DurationS: nan, Line: 1}, {Path: "Ü.wav", DurationS: nan, Line: 2}}},
		"comments":          {"# by hand\n\n  \n#EXTENC:UTF-8\n a.wav\t\n", []Entry{{Path: "a.wav", DurationS: nan, Line: 5}}},
		"absolute":          {"/media/STICK/a.wav\n", one("/media/STICK/a.wav")},
		"backslashes":       {`..\Music\a.wav`, one("../Music/a.wav")},
		"drive":             {`C:\Music\a/b.wav`, one("C:/Music/a/b.wav")},
		"server":            {`\\host\share\a.wav`, one("//host/share/a.wav")},
		"backslash in name": {`x/a\b.wav`, one(`x/a\b.wav`)},
		"URL":               {"file:///media/My%20Stick/%C3%9C%23.wav\n", one("/media/My Stick/Ü#.wav")},
		"URL, localhost":    {"file://LOCALHOST/media/a.wav\n", one("/media/a.wav")},
		"URL, server":       {"file://host/share/a.wav\n", one("//host/share/a.wav")},
		"URL, drive":        {"FILE:///C:/a%20b.wav\n", one("C:/a b.wav")},
		"URL, drive, bar":   {"file:///C|/a.wav\n", one("C:/a.wav")},
		"URL, drive, two":   {`file://C:\Music\a.wav`, one("C:/Music/a.wav")},
		"URL, drive, host":  {"file://C:/Music/a.wav\n", one("C:/Music/a.wav")},
		"URL, drive alone":  {"file:///C:\n", one("C:")},
		"URL, last escape":  {"file:///a%zz%21\n", one("/a%zz!")},
		"URL, one slash":    {"file:/media/a.wav\n", one("/media/a.wav")},
		"URL, number sign":  {"file:///a/#1 hit?.wav\n", one("/a/#1 hit?.wav")},
		"URL, wrong escape": {"file:///a/100%%20%zz.wav\n", one("/a/100% %zz.wav")},
		"URL, cut escape":   {"file:///a/100%2\n", one("/a/100%2")},
		"URL, end":          {"file:///a%zz/100%\n", one("/a%zz/100%")},
		"escapes and signs": {"file:///a%zz%20b\n", one("/a%zz b")},
		"a drive alone":     {"C:\\\n", one("C:/")},
		"address":           {"https://example.org/a%20b.mp3\n", one("https://example.org/a%20b.mp3")},
		"colon in name":     {"Dub: a.wav\n", one("Dub: a.wav")},
		"not unescaped":     {"100%25.wav\n", one("100%25.wav")},
		"described": {"#EXTM3U\n#EXTINF:301,Some Artist - Some - Title\na.wav\nb.wav\n",
			[]Entry{{Path: "a.wav", Artist: "Some Artist", Title: "Some - Title", DurationS: 301, Line: 3}, {Path: "b.wav", DurationS: nan, Line: 4}}},
		"no length":      {"#EXTINF:-1,Title\na.wav", []Entry{{Path: "a.wav", Title: "Title", DurationS: nan, Line: 2}}},
		"length of zero": {"#EXTINF:0,Title\na.wav", []Entry{{Path: "a.wav", Title: "Title", DurationS: nan, Line: 2}}},
		"properties": {"#EXTINF:12.5 logo=\"a,b\" x=\"y\",Title, more\na.wav",
			[]Entry{{Path: "a.wav", Title: "Title, more", DurationS: 12.5, Line: 2}}},
		"open quote": {"#EXTINF:12 \"x,Title\na.wav", []Entry{{Path: "a.wav", Title: "Title", DurationS: 12, Line: 2}}},
		"artist by itself": {"#EXTINF:12,A - B - Title\n#EXTART:A - B\na.wav",
			[]Entry{{Path: "a.wav", Artist: "A - B", Title: "Title", DurationS: 12, Line: 3}}},
		"no artist": {"#EXTINF:12,A - B\n#EXTART:\na.wav", []Entry{{Path: "a.wav", Title: "A - B", DurationS: 12, Line: 3}}},
		"controls in a title": {"#EXTINF:12,A\x07 \u202eB\na.wav",
			[]Entry{{Path: "a.wav", Title: "A B", DurationS: 12, Line: 2}}},
	} {
		t.Run(name, func(t *testing.T) {
			l := read(t, c.list, "set.m3u")
			if d := cmp.Diff(c.want, l.Entries, sameLists); d != "" || l.Format != M3U || len(l.Warnings) > 0 {
				t.Errorf("format %q, warnings %v, entries (-want +got):\n%s", l.Format, l.Warnings, d)
			}
		})
	}
}

// TestM3UWarnings: what is passed over is said with its line.
func TestM3UWarnings(t *testing.T) {
	l := read(t, "#EXTM3U\n#PLAYLIST:Night\n#EXTINF:abc,T\na.wav\n#EXTINF:5,nobody\n", "set.m3u8")
	want := []Warning{{3, `no length in seconds stands here: "abc"`}, {5, "a track is described here, and no path follows"}}
	if d := cmp.Diff(want, l.Warnings); d != "" || l.Title != "Night" || l.Entries[0].Title != "T" {
		t.Errorf("title %q, entries %v, warnings (-want +got):\n%s", l.Title, l.Entries, d)
	}
	l = read(t, strings.Repeat("#EXTINF:x,\n", maxWarnings+7), "set.m3u")
	if len(l.Warnings) != maxWarnings || l.More != 8 { // and the last is followed by nothing
		t.Errorf("%d warnings and %d more", len(l.Warnings), l.More)
	}
}

// TestRefusals: what is no list is refused by name and line.
func TestRefusals(t *testing.T) {
	for name, c := range map[string]struct{ list, name, want string }{
		"binary":        {"RIFF\x00\x00\x00\x00WAVE", "a.m3u", "a.m3u: this is no text"},
		"long line":     {"a\n" + strings.Repeat("x", maxLine+1), "a.m3u", "a.m3u, line 2: a line of 131073 bytes is no path"},
		"stream":        {"#EXTM3U\n#EXT-X-TARGETDURATION:10\n", "a.m3u8", "a.m3u8, line 2: this lists the pieces of one stream"},
		"many":          {strings.Repeat("a\n", MaxEntries+1), "a.m3u", "a.m3u, line 100001: the list has more than 100000 entries"},
		"large":         {strings.Repeat("#\n", MaxBytes/2+1), "a.m3u", "a.m3u: the list is larger than 32 MiB"},
		"no path":       {"file,title\na.wav,T\n", "a.csv", `a.csv, line 1: no column of this table is called "path"`},
		"quotes":        {"path,title\na.wav,T\n\"b.wav,T\n", "a.csv", "a.csv, line 3: the quotes of this row are wrong"},
		"quote in cell": {"path,title\na\"b.wav,T\n", "a.csv", "a.csv, line 2: the quotes of this row are wrong"},
		"empty XSPF":    {"", "a.xspf", "a.xspf: this is no XSPF: there is no playlist in it"},
		"only comment":  {"<!-- -->", "a", "a: this is no XSPF: there is no playlist in it"},
		"other XML":     {"<html>\n</html>", "a.xspf", `a.xspf, line 1: this is XML, but no XSPF: it begins with "html"`},
		"other space":   {"\n<playlist xmlns='http://example.org/'/>", "a.xspf", "a.xspf, line 2: this is XML, but no XSPF"},
		"broken XML":    {"<playlist xmlns='http://xspf.org/ns/0/'>\n<trackList></playlist>", "a", "a, line 2: the XML is broken"},
		"cut XML":       {"<playlist xmlns='http://xspf.org/ns/0/'>\n<trackList>", "a", "a, line 2: the XML is broken"},
		"encoding":      {"<?xml version='1.0' encoding='shift_jis'?>\n<playlist/>", "a", `a, line 1: the encoding "shift_jis" is not read`},
		"deep":          {"<playlist xmlns='http://xspf.org/ns/0/'>" + strings.Repeat("<a>", 200_000), "a", "a, line 1: elements lie more than 64 deep"},
		"document type": {"<?xml version='1.0'?>\n<!DOCTYPE x SYSTEM 'file:///etc/passwd'><playlist/>", "a", "a, line 2: the list declares a document type"},
		"an entity":     {"<playlist xmlns='http://xspf.org/ns/0/'><title>&x;</title></playlist>", "a", "a, line 1: the XML is broken"},
	} {
		t.Run(name, func(t *testing.T) {
			_, err := Read(context.Background(), strings.NewReader(c.list), c.name)
			if e, ok := IsError(err); !ok || !strings.HasPrefix(e.Error(), c.want) {
				t.Errorf("error %v, not one that begins with %q", err, c.want)
			}
		})
	}
}

// TestBounds: what is just within the bounds is read.
func TestBounds(t *testing.T) {
	if l := read(t, strings.Repeat("x", maxLine), "a"); len(l.Entries) != 1 {
		t.Errorf("%d entries", len(l.Entries))
	}
	if l := read(t, strings.Repeat("a\n", MaxEntries), "a"); len(l.Entries) != MaxEntries {
		t.Errorf("%d entries", len(l.Entries))
	}
	long := strings.Repeat("ü", maxText+1)
	l := read(t, "#EXTINF:1,"+long+"\na\n#EXTINF:1,"+long[2:]+"\nb", "a")
	if l.Entries[0].Title != long[2:] || l.Entries[1].Title != long[2:] {
		t.Errorf("titles of %d and %d bytes", len(l.Entries[0].Title), len(l.Entries[1].Title))
	}
}

// TestStopped: nobody waits for a list whose reader has gone.
func TestStopped(t *testing.T) {
	ctx, stop := context.WithCancel(context.Background())
	stop()
	if _, err := Read(ctx, strings.NewReader("a.wav"), "a"); err != context.Canceled {
		t.Error(err)
	}
	for _, f := range []func(*List, context.Context, string) error{(*List).readM3U, (*List).readCSV, (*List).readXSPF} {
		list := "path\n" + strings.Repeat("a\n", 2*checkEvery)
		if err := f(&List{}, ctx, list); err != context.Canceled {
			if err = f(&List{}, ctx, "<playlist xmlns='"+namespace+"'>"+strings.Repeat("<a/>", checkEvery)); err != context.Canceled {
				t.Error(err)
			}
		}
	}
}

// TestTenThousand: a list of 10,000 entries has them all, in their order and lines.
func TestTenThousand(t *testing.T) {
	var m3u, table, xspf strings.Builder
	m3u.WriteString("#EXTM3U\n")
	table.WriteString("path;title\n")
	xspf.WriteString("<playlist version='1' xmlns='" + namespace + "'><trackList>\n")
	for i := range 10_000 {
		fmt.Fprintf(&m3u, "#EXTINF:%d,T%d\n%d.wav\n", i, i, i)
		fmt.Fprintf(&table, "%d.wav;T%d\n", i, i)
		fmt.Fprintf(&xspf, "<track><location>%d.wav</location><title>T%d</title></track>\n", i, i)
	}
	xspf.WriteString("</trackList></playlist>")
	for line, s := range map[int]string{3: m3u.String(), 2: table.String()} {
		checkTenThousand(t, read(t, s, "x"), line)
	}
	checkTenThousand(t, read(t, xspf.String(), "x"), 2)
}

func checkTenThousand(t *testing.T, l List, line int) {
	t.Helper()
	if len(l.Entries) != 10_000 {
		t.Fatalf("%s: %d entries", l.Format, len(l.Entries))
	}
	every := 1
	if l.Format == M3U {
		every = 2
	}
	for i, e := range l.Entries {
		if e.Path != fmt.Sprintf("%d.wav", i) || e.Title != fmt.Sprintf("T%d", i) || e.Line != line+every*i {
			t.Fatalf("%s, entry %d: %+v", l.Format, i, e)
		}
	}
}
