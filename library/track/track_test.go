package track

import (
	"encoding/json"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"dubgauge/detect"
)

func TestDiskPath(t *testing.T) {
	root := filepath.FromSlash("/music")
	for _, c := range []struct{ path, disk, want string }{
		{"House/b.wav", "", "/music/House/b.wav"},
		{"na\u00efve.wav", "nai\u0308ve.wav", "/music/nai\u0308ve.wav"},
	} {
		tr := Track{Root: root, Record: Record{Path: c.path}, Disk: []byte(c.disk)}
		if got := tr.DiskPath(); got != filepath.FromSlash(c.want) {
			t.Errorf("%q, want %q", got, c.want)
		}
	}
}

// TestSetRecord: a record read in full keeps the path and the faults that are
// found only beside other tracks.
func TestSetRecord(t *testing.T) {
	tr := Track{Record: Record{Path: "a.wav"}}
	tr.AddFault(detect.Fault{Kind: "duplicate"})
	r := Record{Path: "elsewhere.wav"}
	r.Faults = []detect.Fault{{Kind: "silence_end"}}
	tr.SetRecord(r)
	if tr.Path != "a.wav" || len(tr.Faults) != 2 || tr.Faults[0].Kind != "silence_end" || tr.Faults[1].Kind != "duplicate" {
		t.Errorf("path %q, faults %+v", tr.Path, tr.Faults)
	}
}

func TestTakesPart(t *testing.T) {
	for _, c := range []struct {
		ignored, missing, want bool
	}{{false, false, true}, {true, false, false}, {false, true, false}} {
		tr := Track{Marks: Marks{Ignore: c.ignored}}
		if c.missing {
			tr.MissingSince = time.Unix(1, 0)
		}
		if tr.TakesPart() != c.want {
			t.Errorf("ignored %v, missing %v: takes part %v", c.ignored, c.missing, !c.want)
		}
	}
}

// TestTrackJSON: what the disk and the database know of a file stays inside.
func TestTrackJSON(t *testing.T) {
	b, err := json.Marshal(Track{Record: Record{Path: "a.wav", Measurement: detect.Empty()}, Disk: []byte("x"), Content: []byte("y")})
	if err != nil || !strings.Contains(string(b), `"path":"a.wav"`) {
		t.Fatalf("%s, error %v", b, err)
	}
	for _, name := range []string{"Disk", "Content", "disk", "content"} {
		if strings.Contains(string(b), `"`+name+`"`) {
			t.Errorf("%q is in %s", name, b)
		}
	}
}

func TestShownPath(t *testing.T) {
	for _, c := range []struct{ disk, want string }{
		{"House/b.wav", "House/b.wav"},
		{"nai\u0308ve.wav", "na\u00efve.wav"},
		{"bad \xff\xfe e\u0301.wav", `bad \xff\xfe ` + "\u00e9.wav"},
		{"replaced \ufffd.wav", "replaced \ufffd.wav"},
	} {
		if got := ShownPath(c.disk); got != c.want {
			t.Errorf("%q is shown as %q, want %q", c.disk, got, c.want)
		}
	}
}

func TestBelow(t *testing.T) {
	for _, c := range []struct {
		path, dir string
		want      bool
	}{
		{"/music/a", "/music", true}, {"/music/a", "/music/", true}, {"/music", "/music", false},
		{"/musical/a", "/music", false}, {"/a", "/", true},
	} {
		if got := Below(filepath.FromSlash(c.path), filepath.FromSlash(c.dir)); got != c.want {
			t.Errorf("%s below %s: %v", c.path, c.dir, got)
		}
	}
}
