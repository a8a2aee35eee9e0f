package playlist

import (
	"context"
	"fmt"
	"runtime"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

// xspfOf is a list with these tracks.
func xspfOf(tracks string) string {
	return "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<playlist version=\"1\" xmlns=\"" + namespace + "\">\n<title> Night </title><trackList>\n" +
		tracks + "</trackList>\n</playlist>\n"
}

// TestXSPF reads lists written by hand after the specification (https://xspf.org/spec).
func TestXSPF(t *testing.T) {
	one := func(path string) []Entry { return []Entry{{Path: path, DurationS: nan, Line: 4}} }
	loc := func(s string) string { return "<track><location>" + s + "</location></track>\n" }
	for name, c := range map[string]struct {
		tracks string
		want   []Entry
	}{
		"relative": {loc("../a%20b/%C3%9C.wav"), one("../a b/Ü.wav")},
		"spaces":   {loc("\n  a.wav\n  "), one("a.wav")},
		"URL":      {loc("file:///media/a.wav"), one("/media/a.wav")},
		"path":     {loc(`C:\Music\a.wav`), one("C:/Music/a.wav")},
		"mixed":    {loc(`a\b.wav`), one("a/b.wav")},
		"sloppy":   {loc("100% a&amp;b.wav"), one("100% a&b.wav")},
		"CDATA":    {loc("<![CDATA[a&b.wav]]>"), one("a&b.wav")},
		"whole": {"<track><location>a.wav</location><title>T &lt;x&gt;</title><creator>A</creator><duration>301500</duration><album>N</album></track>",
			[]Entry{{Path: "a.wav", Title: "T <x>", Artist: "A", DurationS: 301.5, Line: 4}}},
		"several places": {"<track><location>http://example.org/a</location><location>a.flac</location><location>a.wav</location></track>",
			[]Entry{{Path: "a.flac", Also: []string{"http://example.org/a", "a.wav"}, DurationS: nan, Line: 4}}},
		"title alone": {"<track><title>T</title><creator>A</creator></track>", []Entry{{Title: "T", Artist: "A", DurationS: nan, Line: 4}}},
		"an extension's own": {"<track><location>a.wav</location><extension application='x'><location>b.wav</location><track><title>no</title></track></extension></track>",
			one("a.wav")},
		"another namespace": {"<track><location>a.wav</location><title xmlns='urn:x'>no</title></track>", one("a.wav")},
		"base of a track":   {"<track xml:base='file:///media/S%20T/list.xspf'><location>x/a.wav</location></track>", one("/media/S T/x/a.wav")},
		"base of a place":   {"<track xml:base='file:///media/'><location xml:base='Sub/'>a.wav</location></track>", one("/media/Sub/a.wav")},
		"base, from the top": {"<track xml:base='file:///media/x'><location>/a.wav</location></track>",
			one("/a.wav")},
		"base, whole URL": {"<track xml:base='file:///media/x'><location>file:///b.wav</location></track>", one("/b.wav")},
		"base, relative":  {"<track xml:base='Music/'><location>a.wav</location></track>", one("Music/a.wav")},
		"base on the web": {"<track xml:base='http://example.org'><location>a.wav</location></track>", one("http://example.org/a.wav")},
	} {
		t.Run(name, func(t *testing.T) {
			l := read(t, xspfOf(c.tracks), "set.xspf")
			if d := cmp.Diff(c.want, l.Entries, sameLists); d != "" || l.Format != XSPF || l.Title != "Night" || len(l.Warnings) > 0 {
				t.Errorf("title %q, warnings %v, entries (-want +got):\n%s", l.Title, l.Warnings, d)
			}
		})
	}
}

// TestXSPFWarnings: what is passed over in a list is said.
func TestXSPFWarnings(t *testing.T) {
	l := read(t, "<playlist><trackList>\n<track/>\n<track><location>a.wav</location><duration>5:01</duration></track></trackList></playlist>", "x")
	want := []Warning{
		{1, "the list does not name the namespace of XSPF; it is read all the same"},
		{2, "a track without a place and without a title: passed over"},
		{3, `no length in milliseconds stands here: "5:01"`},
	}
	if d := cmp.Diff(want, l.Warnings); d != "" || len(l.Entries) != 1 {
		t.Errorf("%d entries, warnings (-want +got):\n%s", len(l.Entries), d)
	}
}

// TestXSPFEncodings: ISO 8859-1 that says so, and UTF-16.
func TestXSPFEncodings(t *testing.T) {
	const list = "<?xml version='1.0' encoding='%s'?><playlist xmlns='" + namespace + "'><trackList><track><location>a</location><title>%s</title></track></trackList></playlist>"
	wide := "\xff\xfe"
	for _, r := range fmt.Sprintf(list, "UTF-16", "Ü") {
		wide += string([]byte{byte(r), 0})
	}
	for name, s := range map[string]string{"latin": fmt.Sprintf(list, "ISO-8859-1", "\xdc"), "wide": wide} {
		if l := read(t, s, name); l.Entries[0].Title != "Ü" {
			t.Errorf("%s: %q", name, l.Entries[0].Title)
		}
	}
}

// TestBillionLaughs: a list that means a billion words is refused at once and takes no
// memory; so are entities that read files, and one that means itself.
func TestBillionLaughs(t *testing.T) {
	var b strings.Builder
	b.WriteString("<?xml version=\"1.0\"?>\n<!DOCTYPE lolz [\n<!ENTITY lol \"lol\">\n")
	last := "lol"
	for i := range 10 {
		fmt.Fprintf(&b, "<!ENTITY lol%d \"%s\">\n", i, strings.Repeat("&"+last+";", 10))
		last = fmt.Sprintf("lol%d", i)
	}
	fmt.Fprintf(&b, "]>\n<playlist version=\"1\" xmlns=\"%s\"><title>&%s;</title><trackList/></playlist>", namespace, last)
	for name, s := range map[string]string{
		"laughs": b.String(),
		"file":   "<?xml version='1.0'?>\n<!DOCTYPE a [<!ENTITY x SYSTEM 'file:///etc/passwd'>]><playlist>&x;</playlist>",
		"itself": "<?xml version='1.0'?>\n<!DOCTYPE a [<!ENTITY x '&x;'>]><playlist>&x;</playlist>",
	} {
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		start := time.Now()
		_, err := Read(context.Background(), strings.NewReader(s), "laughs.xspf")
		runtime.ReadMemStats(&after)
		e, ok := IsError(err)
		if !ok || !strings.Contains(e.Why, "document type or entities") || e.Line < 2 {
			t.Errorf("%s: %v", name, err)
		}
		// Ten thousand times what reading it takes, and a ten-thousandth of what it means.
		if took, used := time.Since(start), after.TotalAlloc-before.TotalAlloc; took > 5*time.Second || used > 1<<20 {
			t.Errorf("%s: took %v and %d bytes", name, took, used)
		}
	}
}
