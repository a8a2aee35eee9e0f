package track

import (
	"bytes"
	"errors"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"
	"time"
)

// TestCompare: a byte that changed between those that are sampled is found where the time of the
// file moved, as a repaired master's does; where nothing moved the file is believed. A file that was
// only touched is the same.
func TestCompare(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.wav")
	data := make([]byte, 4<<20)
	r := rand.New(rand.NewPCG(1, 2))
	for i := range data {
		data[i] = byte(r.Uint32())
	}
	size := int64(len(data))
	content, err := ContentOf(bytes.NewReader(data), size)
	if err != nil {
		t.Fatal(err)
	}
	whole, err := NewWhole(size).Sum(bytes.NewReader(data), goOn)
	if err != nil {
		t.Fatal(err)
	}
	between := int64(contentHead + contentBlock + 1) // behind the first block, long before the second
	then := time.Now().Add(-time.Hour).Truncate(time.Second)
	for _, c := range []struct {
		name           string
		changed, moved bool
		whole          []byte
		want           bool // it is the one that was measured
	}{
		{"as it was", false, false, whole, true}, {"touched", false, true, whole, true}, {"repaired", true, true, whole, false},
		{"repaired, the time set back", true, false, whole, true}, {"repaired, and the whole not known", true, true, nil, true},
	} {
		b := bytes.Clone(data)
		if c.changed {
			b[between] ^= 1
			if same, err := ContentOf(bytes.NewReader(b), size); err != nil || !bytes.Equal(same, content) {
				t.Fatal("the byte is one of those that are sampled")
			}
		}
		if err := os.WriteFile(path, b, 0o600); err != nil {
			t.Fatal(err)
		}
		at := then
		if c.moved {
			at = then.Add(time.Minute)
		}
		if err := os.Chtimes(path, at, at); err != nil {
			t.Fatal(err)
		}
		f, err := os.Open(path)
		if err != nil {
			t.Fatal(err)
		}
		fi, err := f.Stat()
		if err != nil {
			t.Fatal(err)
		}
		x := Track{ModTime: then, Content: content, Whole: c.whole}
		x.Measurement.File.SizeBytes = size
		err = x.compare(t.Context(), f, fi, &Seen{})
		var changed *ChangedError
		if (err == nil) != c.want || err != nil && !errors.As(err, &changed) {
			t.Errorf("%s: %v", c.name, err)
		}
		f.Close()
	}
}
