package playlist

import (
	"bytes"
	"context"
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// here is where the lists of these tests lie.
var here = Place{Dir: "/media/A/Lists", Roots: []string{"/media/A", "/media/B"}}

func written(t interface{ Fatal(...any) }, f Format, l List, at Place) string {
	var b bytes.Buffer
	if err := Write(&b, f, l, at); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// TestWriteM3U: a list as players read it (common practice, no standard).
func TestWriteM3U(t *testing.T) {
	l := List{Title: "Night\n1", Entries: []Entry{
		{Path: "/media/A/House/one.wav", Artist: "A", Title: "T", DurationS: 300.5},
		{Path: "/media/A/Lists/#1 é.wav", Title: "A - T", DurationS: nan},
		{Path: "/media/A/Lists/Sub/=x.wav", DurationS: nan},
		{Path: "/media/B/two.wav", Artist: "A - B", DurationS: 1},
		{Path: "/media/A/new\nline #%.wav", DurationS: nan},
		{Path: "/media/A/Lists/ends .wav ", DurationS: nan},
		{Path: "http://example.org/a", Title: "-", DurationS: nan},
		{Title: "no place", DurationS: nan},
		{Path: "C:/Music/a.wav", Artist: "A", Title: "", DurationS: nan},
	}}
	want := `#EXTM3U
#PLAYLIST:Night 1
#EXTINF:301,A - T
../House/one.wav
#EXTINF:-1,A - T
#EXTART:
./#1 é.wav
Sub/=x.wav
#EXTINF:1,
#EXTART:A - B
/media/B/two.wav
file:///media/A/new%0Aline%20%23%25.wav
file:///media/A/Lists/ends%20.wav%20
#EXTINF:-1,-
http://example.org/a
#EXTINF:-1,
#EXTART:A
C:/Music/a.wav
`
	want = strings.ReplaceAll(want, "file:///media/A/new", "file:../new")
	want = strings.ReplaceAll(want, "file:///media/A/Lists/ends", "file:ends")
	if d := cmp.Diff(want, written(t, M3U, l, here)); d != "" {
		t.Error(d)
	}
}

// TestWriteXSPF after the specification (https://xspf.org/spec, 4.1).
func TestWriteXSPF(t *testing.T) {
	l := List{Title: "Night", Entries: []Entry{
		{Path: "/media/A/House/a & b:é.wav", Artist: "A<", Title: "T", DurationS: 300.5},
		{Path: "/media/B/two#%.wav", Also: []string{"http://example.org/a?b"}, DurationS: nan},
	}}
	want := `<?xml version="1.0" encoding="UTF-8"?>
<playlist version="1" xmlns="http://xspf.org/ns/0/">
  <title>Night</title>
  <trackList>
    <track>
      <location>../House/a%20%26%20b%3A%C3%A9.wav</location>
      <title>T</title>
      <creator>A&lt;</creator>
      <duration>300500</duration>
    </track>
    <track>
      <location>file:///media/B/two%23%25.wav</location>
      <location>http://example.org/a?b</location>
    </track>
  </trackList>
</playlist>
`
	if d := cmp.Diff(want, written(t, XSPF, l, here)); d != "" {
		t.Error(d)
	}
}

// TestWriteCSV: RFC 4180, without formulas.
func TestWriteCSV(t *testing.T) {
	l := List{Entries: []Entry{
		{Path: "/media/A/Lists/-one, \"two\".wav", Artist: "=A", Title: "T; =x", DurationS: 300.5},
		{Path: "/media/A/Lists/a;=b.wav", DurationS: nan},
	}}
	want := "path,title,artist,duration_s\r\n\"./-one, \"\"two\"\".wav\",T; '=x,'=A,300.500\r\nfile:a%3B%3Db.wav,,,\r\n"
	if d := cmp.Diff(want, written(t, CSV, l, here)); d != "" {
		t.Error(d)
	}
}

// TestBy: who wrote a list stands in a comment, which readers pass over.
func TestBy(t *testing.T) {
	l := List{Entries: []Entry{{Path: "a.wav", DurationS: nan}}}
	for f, head := range map[Format]string{M3U: "#EXTM3U\n# by us - truly\na.wav\n", XSPF: "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<!-- by us   truly -->\n<playlist"} {
		s := written(t, f, l, Place{By: "by\nus - truly"})
		if back := read(t, s, "x"); !strings.HasPrefix(s, head) || len(back.Entries) != 1 || back.Entries[0].Path != "a.wav" {
			t.Errorf("%q", s)
		}
	}
}

// TestPlacePath: relative where the list and the track move together, else absolute.
func TestPlacePath(t *testing.T) {
	for _, c := range []struct{ dir, path, want string }{
		{"/media/A", "/media/A/x/a.wav", "x/a.wav"},
		{"/media/A/x", "/media/A/x/a.wav", "a.wav"},
		{"/media/A/x/y", "/media/A/x/z/a.wav", "../z/a.wav"},
		{"/media/A/x/y", "/media/A/a.wav", "../../a.wav"},
		{"/media/A/x/y", "/media/A/xx/a.wav", "../../xx/a.wav"},
		{"/media/A", "/media/B/a.wav", "/media/B/a.wav"},
		{"/media", "/media/B/a.wav", "B/a.wav"},
		{"/home/x", "/media/B/a.wav", "/media/B/a.wav"},
		{"/media/A/x", "/media/A/y/../x/a.wav", "a.wav"},
		{"", "/media/A/a.wav", "/media/A/a.wav"},
		{"/media/A", "x/../a.wav", "x/../a.wav"},
		{"//host/share", "//host/share/a.wav", "a.wav"},
	} {
		if got := (Place{Dir: c.dir, Roots: []string{"/media/A", "/media/B"}}).path(c.path); got != c.want {
			t.Errorf("%s from %s: %s, not %s", c.path, c.dir, got, c.want)
		}
	}
}

// TestUnknownForm: no list is written in a form that there is not.
func TestUnknownForm(t *testing.T) {
	if err := Write(&bytes.Buffer{}, "pls", List{}, Place{}); err == nil {
		t.Error("written")
	}
}

// names that make trouble in one form or another.
var trouble = rapid.StringOf(rapid.SampledFrom([]rune("aé#%;=-+@'\" \t\n\\:,<>&?*|\u0085\u2028\uFEFF\U0001F3B5")))

func drawEntry(t *rapid.T) Entry {
	p := trouble.Draw(t, "name")
	if rapid.Bool().Draw(t, "bytes that are no UTF-8") {
		p += "\xff\xe9"
	}
	p = strings.Join([]string{rapid.SampledFrom([]string{"/media/A", "/media/B", "/media/A/Lists", "/x"}).Draw(t, "folder"), "n" + p + ".wav"}, "/")
	if rapid.Bool().Draw(t, "odd start") {
		p = strings.Replace(p, "/n", "/", 1)
	}
	e := Entry{Path: p, Title: oneLine(trouble.Draw(t, "title")), Artist: oneLine(trouble.Draw(t, "artist")), DurationS: nan}
	if rapid.Bool().Draw(t, "length") {
		e.DurationS = float64(rapid.IntRange(1, 9_000_000).Draw(t, "ms")) / 1000
	}
	return e
}

// TestRoundTrip: what is written in any form, at any place, means the same files with the
// same words when it is read.
func TestRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := List{Entries: rapid.SliceOfN(rapid.Custom(drawEntry), 1, 4).Draw(t, "entries")}
		at := Place{Dir: rapid.SampledFrom([]string{"/media/A/Lists", "/media/A", "/media", "/x/y", ""}).Draw(t, "dir"), Roots: here.Roots}
		for _, f := range []Format{M3U, XSPF, CSV} {
			checkRoundTrip(t, f, l, at)
		}
	})
}

func checkRoundTrip(t *rapid.T, f Format, l List, at Place) {
	text := written(t, f, l, at)
	back, err := Read(context.Background(), strings.NewReader(text), "set")
	if err != nil || len(back.Entries) != len(l.Entries) || back.Format != f || len(back.Warnings) > 0 {
		t.Fatalf("%s: %v, %d of %d entries, %s, %v, of\n%s", f, err, len(back.Entries), len(l.Entries), back.Format, back.Warnings, text)
	}
	for i, e := range l.Entries {
		got := back.Entries[i]
		full := (&finder{dir: at.Dir}).full(got.Path)
		if clean(full) != clean(e.Path) {
			t.Fatalf("%s: %q is read %q, of\n%s", f, e.Path, full, text)
		}
		if got.Title != e.Title || got.Artist != e.Artist {
			t.Fatalf("%s: %q, %q is read %q, %q, of\n%s", f, e.Artist, e.Title, got.Artist, got.Title, text)
		}
		if within := map[Format]float64{M3U: 0.5, XSPF: 0.0005, CSV: 0.0005}[f]; !sameLength(got.DurationS, e.DurationS, within) {
			t.Fatalf("%s: %v s is read %v", f, e.DurationS, got.DurationS)
		}
	}
}

// sameLength allows for lengths that round to no second: they are not known then.
func sameLength(got, want, within float64) bool {
	if math.IsNaN(got) {
		return math.IsNaN(want) || want <= within
	}
	return math.Abs(got-want) <= within+1e-9
}
