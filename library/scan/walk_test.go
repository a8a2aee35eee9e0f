package scan

import (
	"context"
	"encoding/json"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/google/go-cmp/cmp"

	"dubgauge/library/madeup"
	"dubgauge/library/status"
	"dubgauge/library/store"
)

// walkOf is what a walk of dir finds, and its problems without dir's name.
func walkOf(t *testing.T, dir string) (names []string, problems []store.Problem) {
	t.Helper()
	real, err := filepath.EvalSymlinks(dir)
	if err != nil {
		t.Fatal(err)
	}
	w := walker{ctx: context.Background(), fsys: OS, root: real, roots: []string{real}}
	if err := w.walk(); err != nil {
		t.Fatal(err)
	}
	names = []string{}
	for _, f := range w.files {
		names = append(names, f.rel)
	}
	for _, p := range w.problems {
		p.Path = strings.TrimPrefix(p.Path, real+"/")
		problems = append(problems, p)
	}
	return names, problems
}

func link(t *testing.T, target, name string) {
	t.Helper()
	if err := os.Symlink(target, name); err != nil {
		t.Skipf("no links here: %v", err)
	}
}

func TestWalkLinks(t *testing.T) {
	tmp := t.TempDir()
	dir, other := tmp+"/lib", tmp+"/other"
	madeup.WriteFile(t, dir+"/a.wav", madeup.WAV(1, 10))
	madeup.WriteFile(t, dir+"/sub/b.wav", madeup.WAV(2, 10))
	madeup.WriteFile(t, dir+"/.store/hidden.wav", madeup.WAV(5, 10))
	madeup.WriteFile(t, other+"/c.wav", madeup.WAV(3, 10))
	madeup.WriteFile(t, other+"/deep/d.wav", madeup.WAV(4, 10))
	link(t, dir, dir+"/sub/loop")           // a loop
	link(t, "../sub", dir+"/sub/self")      // another
	link(t, "round", dir+"/round")          // to itself
	link(t, dir+"/a.wav", dir+"/again.wav") // found without the link
	link(t, other, dir+"/elsewhere")        // a folder outside
	link(t, other+"/deep", dir+"/deep too") // part of it
	link(t, other+"/c.wav", dir+"/c.wav")   // a file of it
	link(t, dir+"/.store/hidden.wav", dir+"/from store.wav")
	link(t, "nowhere.wav", dir+"/broken.wav")
	link(t, tmp, dir+"/above") // holds the library
	names, problems := walkOf(t, dir)
	want := []string{"a.wav", "c.wav", "deep too/d.wav", "from store.wav", "sub/b.wav"}
	if diff := cmp.Diff(want, names); diff != "" {
		t.Errorf("found (-want +got):\n%s", diff)
	}
	named := map[string]bool{}
	for _, p := range problems {
		named[p.Path] = true
	}
	if diff := cmp.Diff(map[string]bool{"above": true, "broken.wav": true, "round": true}, named); diff != "" {
		t.Errorf("problems (-want +got):\n%s\n%+v", diff, problems)
	}
}

// TestCandidates: what is taken for a track, by ending or by content.
func TestCandidates(t *testing.T) {
	mp3 := make([]byte, 2000) // MPEG-1 layer III, 128 kbit/s, 44.1 kHz: frames of 417 bytes
	for i := 0; i+4 < len(mp3); i += 417 {
		copy(mp3[i:], []byte{0xff, 0xfb, 0x90, 0x00})
	}
	for _, c := range []struct {
		name string
		data []byte
		want bool
	}{
		{"a.wav", nil, true}, // empty: an unreadable track
		{"a.MP3", []byte("text"), true},
		{"a.flac.txt", []byte("fLaC"), false},
		{"cover.jpg", madeup.WAV(1, 10), false},
		{"list.m3u8", []byte("a.wav"), false},
		{"no ending", madeup.WAV(1, 10), true},
		{"strange.xyz", madeup.WAV(1, 10), true},
		{"track.final", mp3, true},
		{"one frame", mp3[:417], false},
		{"flac", []byte("fLaC\x00\x00\x00\x22"), true},
		{"aiff", []byte("FORM\x00\x00\x00\x00AIFC"), true},
		{"form", []byte("FORM\x00\x00\x00\x00ILBM"), false},
		{"riff", []byte("RIFF\x00\x00\x00\x00AVI LIST"), false},
		{"ogg", append([]byte("OggS\x00\x02"), "\x01vorbis"...), true},
		{"film", append([]byte("OggS\x00\x02"), "\x80theora"...), false},
		{"m4a", []byte("\x00\x00\x00\x20ftypM4A "), true},
		{"film2", []byte("\x00\x00\x00\x20ftypisom"), false},
		{"text", []byte("ID the tracks"), false},
		{"empty", nil, false},
		{"$RECYCLE.BIN", nil, false},
	} {
		dir := t.TempDir()
		madeup.WriteFile(t, filepath.Join(dir, c.name), c.data)
		names, problems := walkOf(t, dir)
		if found := len(names) == 1; found != c.want || problems != nil {
			t.Errorf("%s: found %v, want %v; problems %v", c.name, found, c.want, problems)
		}
	}
}

func FuzzIsAudio(f *testing.F) {
	f.Add(madeup.WAV(1, 10))
	f.Add([]byte{0xff, 0xfb, 0x90, 0x00})
	f.Fuzz(func(t *testing.T, head []byte) {
		// Never a panic, and no verdict from fewer bytes than a signature has.
		if isAudio(head) && len(head) < 3 {
			t.Errorf("%q is taken for audio", head)
		}
	})
}

// TestNames: odd names are found, stored under a name fit to show, and opened.
func TestNames(t *testing.T) {
	if runtime.GOOS != "linux" {
		t.Skip("needs a file system that takes any bytes for a name")
	}
	dir, db := t.TempDir(), openTemp(t)
	for i, c := range []struct{ disk, shown string }{
		{"caf\u00e9.wav", "caf\u00e9.wav"},                                     // NFC
		{"nai\u0308ve.wav", "na\u00efve.wav"},                                  // NFD
		{"both \u00e9.wav", "both \u00e9.wav"},                                 // both forms side by side
		{"both e\u0301.wav", "both e\u0301.wav"},                               //
		{"bad \xff\xfe.wav", `bad \xff\xfe.wav`},                               // no UTF-8
		{"sp ace\n\x1b[31m \U0001F50A.wav", "sp ace\n\x1b[31m \U0001F50A.wav"}, // kept: whoever shows it cleans it
		{"fo\u0308lder/x.wav", "f\u00f6lder/x.wav"},
	} {
		data := madeup.WAV(uint32(i), 100+i)
		madeup.WriteFile(t, filepath.Join(dir, c.disk), data)
		scanCounted(t, db, Options{}, dir)
		tr := byPath(t, db, c.shown)
		if got, err := os.ReadFile(tr.DiskPath()); err != nil || !cmp.Equal(got, data) {
			t.Errorf("%q does not open its file: %v", c.shown, err)
		}
		if b, err := json.Marshal(tr.Record); err != nil || !utf8.Valid(b) {
			t.Errorf("%q: the record is no UTF-8: %v", c.disk, err)
		}
	}
	if r, n := scanCounted(t, db, Options{}, dir); n != 0 || r.Missing != 0 || r.Unchanged != 7 {
		t.Errorf("a scan more: %+v", r)
	}
}

// TestOverlappingFolders: a track belongs to one library however it is scanned.
func TestOverlappingFolders(t *testing.T) {
	dir, db := smallLibrary(t), openTemp(t)
	if r, n := scanCounted(t, db, Options{Released: []string{"b*"}}, dir+"/House"); n != 2 || r.Total != 2 {
		t.Fatalf("%+v", r)
	}
	b := byPath(t, db, "b.wav")
	r, n := scanCounted(t, db, Options{}, dir, dir+"/House", dir+"/./Dubs", dir)
	if n != 3 || r.Total != 5 || r.Unchanged != 2 || r.Missing != 0 {
		t.Errorf("both: %+v", r)
	}
	if got := byPath(t, db, "House/b.wav"); got.ID != b.ID || got.Status != status.Released {
		t.Errorf("track %d is %s, want %d, still released by the pattern", got.ID, got.Status, b.ID)
	}
	if err := os.Remove(dir + "/House/b.wav"); err != nil {
		t.Fatal(err)
	}
	if err := os.Remove(dir + "/a.wav"); err != nil {
		t.Fatal(err)
	}
	if r, n = scanCounted(t, db, Options{}, dir+"/House"); n != 0 || r.Total != 1 || r.Missing != 1 {
		t.Errorf("only the inner folder: %+v, want one missing: what lies outside was not looked at", r)
	}
}
