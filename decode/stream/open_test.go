package stream

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// A file opens; a folder, and what is no file, does not.
func TestOpenRegular(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "a.wav")
	if err := os.WriteFile(path, []byte("abc"), 0o600); err != nil {
		t.Fatal(err)
	}
	f, fi, err := OpenRegular(path)
	if err != nil || fi.Size() != 3 {
		t.Fatal(fi, err)
	}
	defer f.Close()
	if b := make([]byte, 2); func() bool { _, err := f.ReadAt(b, 1); return err != nil || string(b) != "bc" }() {
		t.Errorf("read %q", b)
	}
	if _, _, err := OpenRegular(dir); err == nil || !strings.Contains(err.Error(), "not a regular file") {
		t.Errorf("a folder: %v", err)
	}
	if _, _, err := OpenRegular(filepath.Join(dir, "b.wav")); !os.IsNotExist(err) {
		t.Errorf("no file: %v", err)
	}
}
