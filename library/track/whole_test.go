package track

import (
	"bytes"
	"encoding/hex"
	"errors"
	"io"
	"testing"

	"pgregory.net/rapid"
)

func goOn() error { return nil }

// TestWhole: the hash is that of all bytes, whatever was read before, in whatever
// order. The expected values are those of XXH64 with seed 0: of nothing and of
// "abc", from the test vectors of the xxHash project.
func TestWhole(t *testing.T) {
	for _, c := range []struct{ data, want string }{{"", "ef46db3751d8e999"}, {"abc", "44bc2cf5ad770999"}} {
		src := bytes.NewReader([]byte(c.data))
		got, err := NewWhole(src.Size()).Sum(src, goOn)
		if err != nil || hex.EncodeToString(got) != c.want {
			t.Errorf("%q: %x, error %v; want %s", c.data, got, err, c.want)
		}
	}
}

func TestWholeWhateverWasRead(t *testing.T) {
	data := make([]byte, wholeGap*3/2)
	for i := range data {
		data[i] = byte(i * i >> 3)
	}
	plain, err := NewWhole(int64(len(data))).Sum(bytes.NewReader(data), goOn)
	if err != nil {
		t.Fatal(err)
	}
	rapid.Check(t, func(r *rapid.T) {
		src := bytes.NewReader(data)
		w := NewWhole(src.Size())
		for range rapid.IntRange(0, 8).Draw(r, "reads") {
			at := rapid.IntRange(0, len(data)).Draw(r, "at")
			n := rapid.IntRange(0, len(data)-at).Draw(r, "n")
			w.Saw(src, data[at:at+n], int64(at))
		}
		if got, err := w.Sum(src, goOn); err != nil || !bytes.Equal(got, plain) {
			t.Errorf("%x, error %v; want %x", got, err, plain)
		}
	})
}

// counted counts the bytes that are read.
type counted struct {
	io.ReaderAt
	n int
}

func (c *counted) ReadAt(b []byte, at int64) (int, error) {
	n, err := c.ReaderAt.ReadAt(b, at)
	c.n += n
	return n, err
}

// TestWholeReadsOnce: of a file that was read from front to end, with a look at its
// end first and a tag skipped, nothing but the tag is read again.
func TestWholeReadsOnce(t *testing.T) {
	const tag = 100_000
	data := bytes.Repeat([]byte("0123456789"), wholeGap/5)
	src := &counted{ReaderAt: bytes.NewReader(data)}
	w := NewWhole(int64(len(data)))
	w.Saw(src, data[:10], 0)
	w.Saw(src, data[len(data)-128:], int64(len(data)-128))
	for at := 10 + tag; at < len(data); at += 4096 {
		w.Saw(src, data[at:min(len(data), at+4096)], int64(at))
	}
	if _, err := w.Sum(src, goOn); err != nil || src.n != tag {
		t.Errorf("%d bytes were read again, error %v; want the %d of the tag", src.n, err, tag)
	}
}

// TestWholeCutShort: a file that is shorter than it was has no hash.
func TestWholeCutShort(t *testing.T) {
	if sum, err := NewWhole(10).Sum(bytes.NewReader(make([]byte, 9)), goOn); !errors.Is(err, io.ErrUnexpectedEOF) {
		t.Errorf("%x, error %v", sum, err)
	}
	stop := errors.New("stop")
	if _, err := NewWhole(10).Sum(bytes.NewReader(make([]byte, 10)), func() error { return stop }); !errors.Is(err, stop) {
		t.Errorf("error %v, want that of stop", err)
	}
}
