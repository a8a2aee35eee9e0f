package playlist

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"dubgauge/detect"
	"dubgauge/library/madeup"
	"dubgauge/library/track"
)

// made is a track of a library that is not there, of so many seconds.
func made(root, path, artist, title string, seconds float64) *track.Track {
	t := &track.Track{Root: root, Record: track.Record{Path: path}}
	t.Tags.Artist, t.Tags.Title = artist, title
	t.Measurement.File.DurationS = detect.Value(seconds)
	return t
}

// two sticks with the tracks that the tests below look for.
func sticks() []*track.Track {
	all := []*track.Track{
		made("/media/A", "House/Deep/one.wav", "Some Artist", "First Tune", 300),
		made("/media/A", "House/two.wav", "Some Artist", "Second Tune", 310),
		made("/media/A", "Other/two.wav", "Someone Else", "Second Tune", 250),
		made("/media/A", "Ünder/Straße.wav", "", "", 200),
		made("/media/B", "House/Deep/one.wav", "Some Artist", "First Tune", 420),
		made("/media/B", "Dubs/unique name v7.wav", "Déjà", "L'Été (Dub)", 333),
		made("/media/B", "Dubs/100% real.wav", "", "", 100),
		made("/media/B", "Dubs/100%25.wav", "", "", 101),
		made("/media/B", "case/A.wav", "", "", 102),
		made("/media/B", "case/a.wav", "", "", 103),
	}
	for i, t := range all {
		t.ID = int64(i)
	}
	return all
}

// TestFind finds entries in each of the ways, and not in others.
func TestFind(t *testing.T) {
	tracks := sticks()
	for name, c := range map[string]struct {
		entry Entry
		dir   string
		want  int // -1 for none
		how   How
	}{
		"beside the list":          {Entry{Path: "one.wav"}, "/media/A/House/Deep", 0, ByPath},
		"up and down":              {Entry{Path: "../House/./Deep/one.wav"}, "/media/B/Dubs", 4, ByPath},
		"absolute":                 {Entry{Path: "/media/B/House/Deep/one.wav"}, "/media/A", 4, ByPath},
		"another place":            {Entry{Path: "http://example.org/x", Also: []string{"/media/A/House/two.wav"}}, "", 1, ByPath},
		"from the root":            {Entry{Path: "House/two.wav"}, "/home/x", 1, ByPath},
		"from the root, no folder": {Entry{Path: "House/two.wav"}, "", 1, ByPath},
		"decomposed":               {Entry{Path: "/media/A/U\u0308nder/Straße.wav"}, "", 3, ByPath},
		"upper case, as FAT folds": {Entry{Path: "/MEDIA/a/ÜNDER/STRAßE.WAV"}, "", 3, ByPath},
		"not as others fold":       {Entry{Path: "/media/A/Ünder/STRASSE.wav"}, "", -1, NotFound},
		"the very case":            {Entry{Path: "/media/B/case/a.wav"}, "", 9, ByPath},
		"escaped":                  {Entry{Path: "Dubs/100%25%20real.wav"}, "/media/B", 6, ByPath},
		"escape as it stands":      {Entry{Path: "Dubs/100%25.wav"}, "/media/B", 7, ByPath},
		"backslashes and slashes":  {Entry{Path: `Dubs\../Dubs\unique name v7.wav`}, "/media/B", 5, ByPath},
		"path before length":       {Entry{Path: "/media/A/House/two.wav", DurationS: 999}, "", 1, ByPath},
		"another drive":            {Entry{Path: "E:/House/two.wav"}, "", 1, ByMovedRoot},
		"another mount":            {Entry{Path: "/run/media/x/Dubs/unique name v7.wav"}, "", 5, ByMovedRoot},
		"the longer way agrees":    {Entry{Path: "/x/A/House/Deep/one.wav"}, "", 0, ByMovedRoot},
		"more parts than a track":  {Entry{Path: "/a/b/c/d/e/media/A/House/two.wav"}, "", 1, ByMovedRoot},
		"fewer parts":              {Entry{Path: "House/two.wav", DurationS: 311}, "/media/B", 1, ByPath},
		"the list's own stick":     {Entry{Path: "/x/House/Deep/one.wav"}, "/media/B", 4, ByMovedRoot},
		"the length decides":       {Entry{Path: "/x/House/Deep/one.wav", DurationS: 421}, "/media/A", 4, ByMovedRoot},
		"one folder is not enough": {Entry{Path: "/x/Elsewhere/two.wav"}, "", -1, NotFound},
		"name and length":          {Entry{Path: "/x/y/two.wav", DurationS: 252}, "", 2, ByNameLength},
		"another ending":           {Entry{Path: "/x/y/TWO.flac", DurationS: 311}, "", 1, ByNameLength},
		"another length":           {Entry{Path: "/x/y/two.wav", DurationS: 280}, "", -1, NotFound},
		"a name of its own":        {Entry{Path: "unique name V7.wav"}, "/home", 5, ByName},
		"that and another length":  {Entry{Path: "unique name v7.wav", DurationS: 60}, "/home", -1, NotFound},
		"that and another ending":  {Entry{Path: "unique name v7.mp3"}, "/home", -1, NotFound},
		"a name of two":            {Entry{Path: "two.wav"}, "/home", -1, NotFound},
		"title and artist":         {Entry{Title: "first  TUNE", Artist: "Some Artist", DurationS: 420}, "", 4, ByTitle},
		"accents and signs":        {Entry{Title: "L’ete dub", Artist: "Deja!"}, "", 5, ByTitle},
		"of another length":        {Entry{Title: "First Tune", Artist: "Some Artist", DurationS: 60}, "", -1, NotFound},
		"title alone":              {Entry{Title: "First Tune"}, "", -1, NotFound},
		"an address":               {Entry{Path: "http://media/A/House/two.wav"}, "", -1, NotFound},
	} {
		t.Run(name, func(t *testing.T) {
			if c.entry.DurationS == 0 {
				c.entry.DurationS = nan
			}
			f := findOne(t, c.entry, c.dir, tracks)
			got := -1
			if f.Track != nil {
				got = int(f.Track.ID)
			}
			if got != c.want || f.How != c.how || len(f.Others) > 0 {
				t.Errorf("found %d by %q (%d others), not %d by %q", got, f.How, len(f.Others), c.want, c.how)
			}
		})
	}
}

func findOne(t *testing.T, e Entry, dir string, tracks []*track.Track) Found {
	t.Helper()
	all, err := Find(context.Background(), List{Entries: []Entry{e}}, dir, tracks)
	if err != nil || len(all) != 1 {
		t.Fatal(all, err)
	}
	return all[0]
}

// TestClean: dots go, and a server stays one.
func TestClean(t *testing.T) {
	for p, want := range map[string]string{"a/../b/./c": "b/c", "//host/a/../b": "//host/b", "///a": "/a", "//": "/", "/a//b": "/a/b", "": "."} {
		if got := clean(p); got != want || onServer(p) != strings.HasPrefix(want, "//") {
			t.Errorf("%q: %q, not %q", p, got, want)
		}
	}
}

// TestAmbiguous: several tracks that an entry may mean are said, copies are not.
func TestAmbiguous(t *testing.T) {
	tracks := sticks()
	e := Entry{Path: "/x/House/Deep/one.wav", DurationS: nan}
	f := findOne(t, e, "", tracks)
	if f.Track != tracks[0] || f.How != ByMovedRoot || len(f.Others) != 1 || f.Others[0] != tracks[4] {
		t.Errorf("%+v", f)
	}
	tracks[0].Content, tracks[4].Content = []byte("x"), []byte("x")
	if f := findOne(t, e, "", tracks); len(f.Others) != 0 || f.Track != tracks[0] {
		t.Errorf("two copies are %d others", len(f.Others))
	}
	tracks[4].Content = []byte("y")
	tracks[0].Twin, tracks[4].Twin = 3, 3
	if f := findOne(t, e, "", tracks); len(f.Others) != 0 {
		t.Error("two files of the same audio are not one")
	}
	tracks[4].Twin = 4
	if f := findOne(t, e, "", tracks); len(f.Others) != 1 {
		t.Error("two files of other audio are one")
	}
}

// TestEndings: of tracks that are as long and differ in their ending, the one with that of
// the entry is meant; without one, both may be.
func TestEndings(t *testing.T) {
	a, b := made("/media/A", "x/one.wav", "", "", 100), made("/media/A", "y/one.FLAC", "", "", 101)
	for ending, want := range map[string]*track.Track{".flac": b, ".wav": a, ".mp3": a} {
		f := findOne(t, Entry{Path: "/z/one" + ending, DurationS: 100}, "", []*track.Track{a, b})
		if f.Track != want || f.How != ByNameLength || len(f.Others) != map[bool]int{true: 1}[ending == ".mp3"] {
			t.Errorf("%s: %+v", ending, f)
		}
	}
}

// TestOutside: a place outside the library is said, whatever is found.
func TestOutside(t *testing.T) {
	for _, c := range []struct {
		path, dir       string
		outside, remote bool
	}{
		{"/media/A/House/two.wav", "", false, false}, {"/media/a/no.wav", "", false, false}, {"/media/AB/x.wav", "", true, false},
		{"../../../etc/passwd", "/media/A/House", true, false}, {"two.wav", "/media/A/House", false, false}, {"two.wav", "", false, false},
		{"C:/x/two.wav", "/media/A", true, false}, {"C://x/two.wav", "/media/A", true, false}, {"http://x/y", "/media/A", false, true}, {"", "/media/A", false, false},
	} {
		f := findOne(t, Entry{Path: c.path, DurationS: nan}, c.dir, sticks())
		if f.Outside != c.outside || f.Remote != c.remote {
			t.Errorf("%q in %q: outside %v, remote %v", c.path, c.dir, f.Outside, f.Remote)
		}
	}
}

// TestFingerprint: a file elsewhere with the bytes of a track is that track; another file,
// a folder, a pipe and what is not there are not, and nothing is written.
func TestFingerprint(t *testing.T) {
	dir := t.TempDir()
	same, other := madeup.WAV(1, 4000), madeup.WAV(2, 4000)
	madeup.WriteFile(t, filepath.Join(dir, "out/same.wav"), same)
	madeup.WriteFile(t, filepath.Join(dir, "out/other.wav"), other)
	madeup.WriteFile(t, filepath.Join(dir, "out/longer.wav"), append(same, 0))
	if err := os.MkdirAll(filepath.Join(dir, "out/folder.wav"), 0o755); err != nil {
		t.Fatal(err)
	}
	tr := made(filepath.Join(dir, "in"), "a.wav", "", "", 10)
	tr.Measurement.File.SizeBytes = int64(len(same))
	var err error
	if tr.Content, err = track.ContentOf(strings.NewReader(string(same)), int64(len(same))); err != nil {
		t.Fatal(err)
	}
	before := madeup.Snapshot(t, dir)
	for name, want := range map[string]How{"same.wav": ByFingerprint, "other.wav": NotFound, "longer.wav": NotFound, "folder.wav": NotFound, "none.wav": NotFound} {
		f := findOne(t, Entry{Path: "out/" + name, DurationS: nan}, dir, []*track.Track{tr})
		there := want == NotFound && name != "folder.wav" && name != "none.wav"
		if f.How != want || !f.Outside || f.There != there {
			t.Errorf("%s: %q, outside %v, there %v", name, f.How, f.Outside, f.There)
		}
	}
	if f := findOne(t, Entry{Path: "out/none.wav", Also: []string{"out/same.wav"}, DurationS: nan}, dir, []*track.Track{tr}); f.How != ByFingerprint {
		t.Errorf("by its second place: %q", f.How)
	}
	after := madeup.Snapshot(t, dir)
	for p, s := range before {
		if after[p] != s || len(after) != len(before) {
			t.Errorf("%s was %q and is %q", p, s, after[p])
		}
	}
}

// TestFingerprintSettles: where two tracks are meant, the file that the entry names decides.
func TestFingerprintSettles(t *testing.T) {
	dir := t.TempDir()
	data := madeup.WAV(1, 4000)
	madeup.WriteFile(t, filepath.Join(dir, "x/House/one.wav"), data)
	a, b := made("/media/A", "House/one.wav", "", "", 10), made("/media/B", "House/one.wav", "", "", 10)
	for _, tr := range []*track.Track{a, b} {
		tr.Measurement.File.SizeBytes, tr.Content = int64(len(data)), []byte("another")
	}
	b.Content, _ = track.ContentOf(strings.NewReader(string(data)), int64(len(data)))
	f := findOne(t, Entry{Path: "x/House/one.wav", DurationS: nan}, dir, []*track.Track{a, b})
	if f.Track != b || f.How != ByFingerprint || len(f.Others) != 0 {
		t.Errorf("%+v", f)
	}
}

// TestNamesThatAreNoUTF8: a name on the disk in ISO 8859-1, listed by its bytes or in UTF-8.
func TestNamesThatAreNoUTF8(t *testing.T) {
	tr := made("/media/A", `d/\xdcber.wav`, "", "", 10)
	tr.Disk = []byte("d/\xdcber.wav")
	for _, p := range []string{"d/\xdcber.wav", "d/Über.wav", `d/\xdcber.wav`} {
		if f := findOne(t, Entry{Path: p, DurationS: nan}, "/media/A", []*track.Track{tr}); f.How != ByPath {
			t.Errorf("%q: %q", p, f.How)
		}
	}
}

// TestNear: what is not found comes with the nearest names, the nearest first.
func TestNear(t *testing.T) {
	tracks := sticks()
	f := findOne(t, Entry{Path: "/x/unique nome v8.wav", DurationS: nan}, "", tracks)
	if f.Track != nil || len(f.Near) == 0 || f.Near[0].Track != tracks[5] || f.Near[0].Edits != 2 {
		t.Errorf("near: %+v", f.Near)
	}
	f = findOne(t, Entry{Title: "Second Tunes", Artist: "Someone Else", DurationS: nan}, "", tracks)
	if len(f.Near) != 2 || f.Near[0].Track != tracks[2] || f.Near[0].Edits != 1 || f.Near[1].Track != tracks[1] {
		t.Errorf("near a title: %+v", f.Near)
	}
	if f = findOne(t, Entry{Path: "/x/qqqqqqqq.wav", DurationS: nan}, "", tracks); len(f.Near) != 0 {
		t.Errorf("near nothing: %+v", f.Near)
	}
}

// TestOneTriple: names that share one triple of characters may be near all the same.
func TestOneTriple(t *testing.T) {
	tracks := []*track.Track{made("/media/A", "abc.wav", "", "", 10), made("/media/A", "xyz.wav", "", "", 10)}
	if f := findOne(t, Entry{Path: "/x/abd.wav", DurationS: nan}, "", tracks); len(f.Near) != 1 || f.Near[0].Edits != 1 {
		t.Errorf("%+v", f.Near)
	}
	if f := findOne(t, Entry{Path: "http://example.org/abd.wav", DurationS: nan}, "", tracks); len(f.Near) != 0 {
		t.Errorf("near an address on a network: %+v", f.Near)
	}
}

// TestManyTriples: names may share more of them than are counted, and are compared no further than
// their first 120 characters.
func TestManyTriples(t *testing.T) {
	name := make([]rune, mostCounted+20)
	for i := range name {
		name[i] = 0x4e00 + rune(i)
	}
	tracks := []*track.Track{made("/media/A", string(name)+".wav", "", "", 10)}
	if f := findOne(t, Entry{Path: "/x/" + string(name) + "v.wav", DurationS: nan}, "", tracks); len(f.Near) != 1 || f.Near[0].Edits != 0 {
		t.Errorf("%+v", f.Near)
	}
}

// TestLastParts of a path, none where it has fewer.
func TestLastParts(t *testing.T) {
	for p, want := range map[string]string{"/a/b/c": "b/c", "b/c": "b/c", "/b/c": "b/c", "c": "", "/c": "", "": ""} {
		if got := lastParts(p, 2); got != want {
			t.Errorf("%q: %q, not %q", p, got, want)
		}
	}
}

// TestDistance by the examples of the paper's first pages and of common teaching
// ("kitten" and "sitting" are 3 apart).
func TestDistance(t *testing.T) {
	for _, c := range []struct {
		a, b string
		want int
		like bool
	}{
		{"kitten", "sitting", 3, true}, {"abc", "abc", 0, true}, {"abc", "", 0, false}, {"abcd", "wxyz", 4, false},
		{"über", "uber", 1, true}, {"flaw", "lawn", 2, false}, {"abcdef", "bcdefg", 2, true},
	} {
		if d, like := distance(c.a, c.b); d != c.want || like != c.like {
			t.Errorf("%q and %q: %d, %v", c.a, c.b, d, like)
		}
	}
}

// TestLargeFind: 10,000 entries, none of them found, in a library of 50,000 tracks with
// names that are all alike end in seconds (a product of both would take an hour).
func TestLargeFind(t *testing.T) {
	if testing.Short() {
		t.Skip("10,000 entries against 50,000 tracks")
	}
	var tracks []*track.Track
	for i := range 50_000 {
		tracks = append(tracks, made("/media/A", fmt.Sprintf("F%d/some title %05d (original mix).wav", i%100, i), "Some Artist", fmt.Sprintf("Some Title %05d", i), 300))
	}
	var l List
	for i := range 10_000 {
		l.Entries = append(l.Entries, Entry{Path: fmt.Sprintf("/x/some titel %05d (original mix).wav", 5*i), DurationS: nan})
	}
	start := time.Now()
	found, err := Find(context.Background(), l, "", tracks)
	if err != nil {
		t.Fatal(err)
	}
	if took := time.Since(start); took > 60*time.Second {
		t.Errorf("took %v", took)
	}
	for i, f := range found {
		if f.Track != nil || len(f.Near) == 0 || f.Near[0].Track != tracks[5*i] {
			t.Fatalf("entry %d: %+v", i, f.Near)
		}
	}
	t.Logf("%d entries in %v", len(found), time.Since(start))
}

// TestNearHasABound: of a list in which nothing is found, the first 10,000 are looked up.
func TestNearHasABound(t *testing.T) {
	var l List
	for range mostLookedUp + 1 {
		l.Entries = append(l.Entries, Entry{Path: "/x/unique nome v7.wav", DurationS: nan})
	}
	found, err := Find(context.Background(), l, "", sticks())
	if err != nil || len(found[mostLookedUp-1].Near) != 1 || len(found[mostLookedUp].Near) != 0 {
		t.Error(err, found[mostLookedUp-1].Near, found[mostLookedUp].Near)
	}
}

// TestStoppedFind: nobody waits for what nobody wants.
func TestStoppedFind(t *testing.T) {
	ctx, stop := context.WithCancel(context.Background())
	stop()
	if _, err := Find(ctx, List{Entries: []Entry{{Path: "a"}}}, "", sticks()); err != context.Canceled {
		t.Error(err)
	}
}
