package playlist

import (
	"bytes"
	"context"
	"math"
	"regexp"
	"strings"
	"testing"
	"unicode/utf8"
)

// fuzz holds what is read of any bytes to: an error of ours, or a list whose entries keep
// the bounds and can be written and read again.
func fuzz(t *testing.T, b []byte, name string) {
	l, err := Read(context.Background(), bytes.NewReader(b), name)
	if err != nil {
		if e, ours := IsError(err); !ours || e.Name != name || e.Line < 0 || e.Why == "" {
			t.Fatalf("error %v", err)
		}
		return
	}
	if len(l.Entries) > MaxEntries || len(l.Warnings) > maxWarnings {
		t.Fatalf("%d entries, %d warnings", len(l.Entries), len(l.Warnings))
	}
	last := 0
	for i, e := range l.Entries {
		if e.Path == "" && e.Title == "" && len(e.Also) == 0 || e.Line < last || e.Line < 1 {
			t.Fatalf("entry %d, line %d behind line %d, has no place: %+v", i, e.Line, last, e)
		}
		last = e.Line
		if !utf8.ValidString(e.Title) || strings.ContainsAny(e.Title+e.Artist, "\n\r\x00\x1b") {
			t.Fatalf("entry %d: title %q, artist %q", i, e.Title, e.Artist)
		}
		if !math.IsNaN(e.DurationS) && !(e.DurationS > 0 && e.DurationS <= math.MaxFloat64) {
			t.Fatalf("entry %d: %v s", i, e.DurationS)
		}
	}
	again(t, l)
}

// driveFolder is a folder at the top that is called like a drive: its URL is read as one.
var driveFolder = regexp.MustCompile(`^/+[A-Za-z][:|]`)

// again writes a list and reads it: the same files with the same words.
func again(t *testing.T, l List) {
	for _, f := range []Format{M3U, XSPF, CSV} {
		text := written(t, f, l, Place{})
		back, err := Read(context.Background(), strings.NewReader(text), "again")
		if err != nil {
			t.Fatalf("written as %s, it is not read: %v\n%q", f, err, text)
		}
		n := 0
		for _, e := range l.Entries {
			if e.Path == "" && (f == M3U || e.Title == "") {
				continue // there is nothing to write
			}
			if n >= len(back.Entries) {
				t.Fatalf("%s: entry %d of %d is left out:\n%q", f, n, len(l.Entries), text)
			}
			got := back.Entries[n]
			if remote(e.Path) || driveFolder.MatchString(e.Path) {
				got.Path = e.Path
			}
			if clean(got.Path) != clean(e.Path) || got.Title != e.Title || got.Artist != e.Artist {
				t.Fatalf("%s: %q, %q, %q is read %q, %q, %q, of\n%q", f, e.Path, e.Artist, e.Title, got.Path, got.Artist, got.Title, text)
			}
			n++
		}
	}
}

func FuzzM3U(f *testing.F) {
	for _, s := range []string{"#EXTM3U\n#EXTINF:5,A - T\na.wav\n", "C:\\a.wav\r\n", "\xff\xfea\x00", "file://C:/%zz\n", "#EXTINF:1 a=\",\",T\n#EXTART:x\nb"} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, b []byte) { fuzz(t, b, "a.m3u") })
}

func FuzzXSPF(f *testing.F) {
	for _, s := range []string{xspfOf("<track xml:base='b/'><location>a%20b</location><duration>5</duration></track>"), "<playlist><!DOCTYPE a>", "<?xml version='1.0' encoding='latin1'?><playlist/>"} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, b []byte) { fuzz(t, b, "a.xspf") })
}

func FuzzCSV(f *testing.F) {
	for _, s := range []string{"path,title\na.wav,'=T\n", "\"path\";length;root\n\"a\";5:01;/x\n", "path\n\"a\nb\"\n"} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, b []byte) { fuzz(t, b, "a.csv") })
}
