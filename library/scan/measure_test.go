package scan

import (
	"bytes"
	"context"
	"encoding/binary"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"dubgauge/decode"
	"dubgauge/detect/reason"
	"dubgauge/library/madeup"
)

// TestMeasureBadFiles: each bad file gives a record that says what is wrong, and
// never an error.
func TestMeasureBadFiles(t *testing.T) {
	dir := t.TempDir()
	good := madeup.WAV(1, 8000)
	madeup.WriteFile(t, dir+"/empty.wav", nil)
	madeup.WriteFile(t, dir+"/text.wav", []byte("this is no music at all, but it is named so\n"))
	madeup.WriteFile(t, dir+"/wrong ending.mp3", good)
	madeup.WriteFile(t, dir+"/cut.wav", good[:9000])
	low := bytes.Clone(good)
	binary.LittleEndian.PutUint32(low[24:], 1050) // Hz, in the fmt chunk
	madeup.WriteFile(t, dir+"/low.wav", low)
	madeup.WriteFile(t, dir+"/new\nline \U0001F50A \x1b[31m.wav", good)
	for _, c := range []struct{ name, kind, detail string }{
		{"empty.wav", "damaged", "the file is empty"},
		{"low.wav", "unsupported", "a sample rate of 1050 Hz, which is no music"},
		{"text.wav", "unsupported", ""},
		{"wrong ending.mp3", "", ""},
		{"new\nline \U0001F50A \x1b[31m.wav", "", ""},
		{"cut.wav", "truncated", ""},
		{"no such.wav", "unreadable", "not found"},
		{".", "unreadable", "folder"},
	} {
		t.Run(c.name, func(t *testing.T) {
			path := filepath.Join(dir, c.name)
			r, err := Measure(context.Background(), path)
			if err != nil {
				t.Fatal(err)
			}
			if r.Path != path {
				t.Errorf("path %q, want it as asked for, %q", r.Path, path)
			}
			switch {
			case c.kind == "" && r.Error != nil:
				t.Errorf("error %+v, want none", *r.Error)
			case c.kind != "" && r.Error == nil:
				t.Errorf("no error, want kind %s", c.kind)
			case c.kind != "" && (string(r.Error.Kind) != c.kind || !strings.Contains(r.Error.Detail, c.detail)):
				t.Errorf("error %+v, want kind %s and %q in the detail", *r.Error, c.kind, c.detail)
			}
			if wantsAudio := c.kind == "" || c.kind == "truncated"; wantsAudio != r.File.DurationS.Exists() {
				t.Errorf("duration %v, error %+v", r.File.DurationS, r.Error)
			}
			if r.Error != nil && strings.HasPrefix(r.Error.Detail, string(r.Error.Kind)+":") {
				t.Errorf("the kind is said twice: %+v", *r.Error)
			}
			ending := len(r.Faults) > 0 && strings.Contains(r.Faults[0].Detail, "the name ends in .mp3, but this is a WAV file")
			if ending != (c.name == "wrong ending.mp3") {
				t.Errorf("faults %+v", r.Faults)
			}
			if _, err := json.Marshal(r); err != nil {
				t.Error(err)
			}
		})
	}
}

func TestMeasureCancelled(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.wav")
	madeup.WriteFile(t, path, madeup.WAV(1, 8000))
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := Measure(ctx, path); err != context.Canceled {
		t.Errorf("error %v, want %v", err, context.Canceled)
	}
}

// TestNoPermission needs a user who is not root, whom everything is allowed;
// for root, a file system that denies stands in.
func TestNoPermission(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.wav")
	madeup.WriteFile(t, path, madeup.WAV(1, 100))
	if err := os.Chmod(path, 0); err != nil {
		t.Fatal(err)
	}
	fsys := FS(OS)
	if os.Getuid() == 0 {
		fsys = failing{FS: OS, fail: func(string) error { return &os.PathError{Op: "open", Path: path, Err: syscall.EACCES} }}
	}
	r, medium, err := measureFile(context.Background(), fsys, path, decode.Options{}, nil)
	if err != nil || r.Error == nil {
		t.Fatalf("record %+v, error %v; want a record that says why", r.Error, err)
	}
	if r.Error.Kind != reason.ProblemUnreadable || !strings.HasPrefix(r.Error.Detail, "permission denied") {
		t.Errorf("error %+v", *r.Error)
	}
	if isMedium(medium) {
		t.Errorf("%v counts as a failure of the disk", medium)
	}
}
