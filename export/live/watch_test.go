package live

import (
	"fmt"
	"testing"

	"github.com/google/go-cmp/cmp"

	"dubgauge/export/page"
	"dubgauge/library"
)

// sticks are what is plugged in, as a test says.
type sticks map[string]bool

func (s sticks) plugged(root string) bool { return s[root] }

func mounts(dirs ...string) (all []library.Medium) {
	for _, d := range dirs {
		all = append(all, library.Medium{Dir: d, Removable: d != "/"})
	}
	return all
}

func told(w *watch, j *job) (all []string) {
	for _, n := range w.told(j) {
		all = append(all, fmt.Sprintf("%s|%s|%s", n.Said, n.Dir, n.Go))
	}
	return all
}

// What comes and goes is said once, offered and not forced, and gone from the page when it was
// dealt with.
func TestSticksThatComeAndGo(t *testing.T) {
	const gig, home = "/media/dj/GIG", "/home/dj/Music"
	roots := []string{gig + "/Tracks", home}
	var w watch
	in := sticks{gig + "/Tracks": true, home: true}
	away, back := "Tracks is not plugged in any more. Its tracks stay in the list.|"+gig+"/Tracks|", "Tracks is plugged in again.|"+gig+"/Tracks|Scan Tracks"
	fresh := "NEW is plugged in, and was not scanned yet.|/media/dj/NEW|Scan NEW"
	for i, step := range []struct {
		media   []library.Medium
		plugged map[string]bool
		changed bool
		want    []string
		seen    []string
	}{
		{mounts("/", gig), nil, false, nil, nil},
		{mounts("/", gig), nil, false, nil, nil},
		{mounts("/"), map[string]bool{gig + "/Tracks": false}, true, []string{away}, nil},
		{mounts("/"), nil, false, []string{away}, nil},
		{mounts("/", gig), map[string]bool{gig + "/Tracks": true}, true, []string{back}, nil},
		{mounts("/", gig), nil, false, []string{back}, []string{gig}},
		{mounts("/", gig), nil, false, nil, nil},
		{mounts("/", gig, "/media/dj/NEW"), nil, true, []string{fresh}, nil},
		{mounts("/", gig), nil, true, nil, nil},
		{mounts("/", gig, "/media/dj/NEW"), nil, true, []string{fresh}, []string{"/media/dj/NEW"}},
		// A drive shows itself before it can be read.
		{mounts("/", "/media/dj/NEW"), map[string]bool{gig + "/Tracks": false}, true, []string{away}, nil},
		{mounts("/", gig, "/media/dj/NEW"), nil, false, []string{away}, nil},
		{mounts("/", gig, "/media/dj/NEW"), map[string]bool{gig + "/Tracks": true}, true, []string{back}, []string{gig + "/Tracks/deeper"}},
		{mounts("/", gig, "/media/dj/NEW"), nil, false, nil, nil},
		// The system's own mounts are nobody's business.
		{append(mounts("/", gig, "/media/dj/NEW"), library.Medium{Dir: "/run/user"}), nil, false, nil, nil},
	} {
		for k, v := range step.plugged {
			in[k] = v
		}
		if changed := w.look(step.media, roots, in.plugged); changed != step.changed {
			t.Errorf("step %d: changed %v", i, changed)
		}
		if d := cmp.Diff(step.want, told(&w, nil)); d != "" {
			t.Errorf("step %d (-want +got):\n%s", i, d)
		}
		w.seen(step.seen)
	}
}

// Libraries are looked at when something was mounted, and when they are new; else a sleeping disk
// sleeps on.
func TestLibrariesAreNotLookedAtForNothing(t *testing.T) {
	var w watch
	looks := 0
	plugged := func(string) bool { looks++; return true }
	for range 20 {
		w.look(mounts("/"), []string{"/a"}, plugged)
	}
	if looks != settling {
		t.Errorf("%d looks, want %d", looks, settling)
	}
	w.look(mounts("/"), []string{"/a", "/b"}, plugged)
	if looks != settling+1 {
		t.Errorf("%d looks after a new library", looks)
	}
	w.look(mounts("/", "/media/x"), []string{"/a", "/b"}, plugged)
	if looks != settling+3 {
		t.Errorf("%d looks after a change", looks)
	}
}

// What a scan says itself is not said twice: while it runs, and when its stick was pulled. Back
// again, it can go on.
func TestNotesBesideAScan(t *testing.T) {
	const root = "/media/dj/GIG"
	var w watch
	in := sticks{root: true, "/other": true}
	roots := []string{root, "/other"}
	w.look(mounts("/", root), roots, in.plugged)
	in[root], in["/other"] = false, false
	w.look(mounts("/"), roots, in.plugged)
	gone := &job{dirs: []string{root}, err: &library.MediumError{Root: root}}
	for name, c := range map[string]struct {
		j     *job
		notes int
	}{
		"no scan": {nil, 2}, "a scan of it runs": {&job{dirs: []string{root}, running: true}, 1}, "of a folder in it": {&job{dirs: []string{root + "/a"}, running: true}, 1},
		"of another": {&job{dirs: []string{"/third"}, running: true}, 2}, "it was pulled": {gone, 1}, "done": {&job{dirs: []string{root}}, 2},
	} {
		if n := w.told(c.j); len(n) != c.notes {
			t.Errorf("%s: %+v", name, n)
		}
	}
	if !w.away(gone.dirs) || !w.away([]string{root + "/a"}) || w.away([]string{"/third"}) || w.away(nil) {
		t.Error("what is away")
	}
	if got := gone.window(w.away(gone.dirs)); got.State != page.ScanGone || got.Go != "" {
		t.Errorf("pulled: %+v", got)
	}
	in[root] = true
	w.look(mounts("/", root), roots, in.plugged)
	if got := gone.window(w.away(gone.dirs)); got.Go != "Go on" {
		t.Errorf("back: %+v", got)
	}
	w.seen([]string{root})
	if n := w.told(nil); len(n) != 1 {
		t.Errorf("after going on: %+v", n)
	}
}

// A scan whose disk went tells which libraries are away, without a note of its own.
func TestWatchNotes(t *testing.T) {
	var w watch
	w.note([]string{"/media/x/deep"}, []string{"/media/x", "/media/y"}, func(string) bool { return false })
	if !w.away([]string{"/media/x/deep"}) || w.away([]string{"/media/y"}) || len(w.told(nil)) != 0 || !w.knowsLibraries() {
		t.Errorf("%+v", w.here)
	}
}

func TestWithin(t *testing.T) {
	for _, c := range []struct {
		dir, in string
		want    bool
	}{
		{"/a/b", "/a", true}, {"/a", "/a", true}, {"/ab", "/a", false}, {"/a", "/a/b", false}, {"/a", "/", true}, {`E:\Music`, `E:\`, true}, {`E:\Music`, `F:\`, false},
	} {
		if within(c.dir, c.in) != c.want {
			t.Errorf("%s within %s: %v", c.dir, c.in, !c.want)
		}
	}
}

// Scans of other programs are said as long as they run, by what they scan; what is not known for a
// moment stays as it was.
func TestScansOfOthers(t *testing.T) {
	const gig = "Another program scans GIG. What it measures shows here.||"
	var w watch
	for i, step := range []struct {
		others  []string
		changed bool
		want    []string
	}{
		{nil, false, nil},
		{[]string{""}, true, []string{"Another program scans the library. What it measures shows here.||"}},
		{[]string{"/media/GIG"}, true, []string{gig}},
		{[]string{""}, false, []string{gig}},
		{nil, true, nil},
		{[]string{"/media/GIG", "/media/B"}, true, []string{gig, "Another program scans B. What it measures shows here.||"}},
	} {
		if changed := w.hear(step.others); changed != step.changed {
			t.Errorf("step %d: news %v", i, changed)
		}
		if d := cmp.Diff(step.want, told(&w, nil)); d != "" {
			t.Errorf("step %d (-want +got):\n%s", i, d)
		}
	}
}
