package tags

import (
	"os"
	"path/filepath"
	"testing"
)

// Whatever the file, what comes out is clean, and a second read says the same.
func FuzzRead(f *testing.F) {
	for _, tt := range forms {
		if len(tt.file) < 4096 {
			f.Add(tt.file)
		}
	}
	files, err := filepath.Glob("testdata/files/*")
	if err != nil {
		f.Fatal(err)
	}
	for _, name := range files {
		b, err := os.ReadFile(name)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(b[:min(len(b), 4096)])
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		got, err := readBytes(b)
		checkClean(t, got)
		again, err2 := readBytes(b)
		if !equal(got, again) || (err == nil) != (err2 == nil) {
			t.Errorf("%q, %v, then %q, %v", got.row(), err, again.row(), err2)
		}
	})
}

func FuzzClean(f *testing.F) {
	f.Add("a\u0301\x00b")
	f.Add("\u202E\uFEFF\x1b[0m")
	f.Fuzz(func(t *testing.T, s string) {
		checkClean(t, Tags{Title: clean(s)})
	})
}
