package track

import (
	"encoding/binary"
	"io"
	"sync"

	"github.com/cespare/xxhash/v2"
)

const (
	// wholeGap is how far a reader may jump ahead without leaving the hash behind:
	// what lies between is read at once. Pictures in tags are smaller, and a jump to
	// the tags at the end is larger in all but short files.
	wholeGap = 4 << 20 // bytes
	// wholeBlock is how much is read at a time where nobody else reads. A megabyte
	// at a time is as fast as a USB stick goes.
	wholeBlock = 1 << 20 // bytes
)

// Whole hashes every byte of a file while something else reads it, so that
// measuring and hashing take one reading. It is told what is read with Saw; what
// nobody read, Sum reads. The hash is XXH64 (github.com/Cyan4973/xxHash,
// doc/xxhash_spec.md), 8 bytes, big-endian: it tells two versions of a file apart
// with a chance of 2^-64 to err, and costs 1 ms for 10 MB. It is no guard against
// somebody who makes two files that hash alike.
type Whole struct {
	size int64

	mu   sync.Mutex
	hash *xxhash.Digest
	next int64 // bytes that are in the hash
}

// NewWhole is for a file of so many bytes.
func NewWhole(size int64) *Whole { return &Whole{size: size, hash: xxhash.New()} }

// Saw takes the bytes b that were read of src at an offset.
func (w *Whole) Saw(src io.ReaderAt, b []byte, at int64) {
	w.mu.Lock()
	defer w.mu.Unlock()
	end := min(at+int64(len(b)), w.size)
	if end <= w.next || at-w.next > wholeGap {
		return
	}
	if at > w.next && w.read(src, at, make([]byte, at-w.next)) != nil {
		return // Sum meets it again, and says so
	}
	w.add(b[w.next-at : end-at])
}

// Sum reads the rest of src, in blocks so that stop can end it between them, and
// returns the hash.
func (w *Whole) Sum(src io.ReaderAt, stop func() error) ([]byte, error) {
	w.mu.Lock()
	defer w.mu.Unlock()
	if w.next < w.size {
		buf := make([]byte, min(wholeBlock, w.size-w.next))
		for w.next < w.size {
			if err := stop(); err != nil {
				return nil, err
			}
			if err := w.read(src, min(w.size, w.next+int64(len(buf))), buf); err != nil {
				return nil, err
			}
		}
	}
	return binary.BigEndian.AppendUint64(nil, w.hash.Sum64()), nil
}

// read takes the bytes up to end, which buf has room for.
func (w *Whole) read(src io.ReaderAt, end int64, buf []byte) error {
	buf = buf[:end-w.next]
	if n, err := src.ReadAt(buf, w.next); n < len(buf) {
		if err == nil || err == io.EOF {
			err = io.ErrUnexpectedEOF
		}
		return err
	}
	w.add(buf)
	return nil
}

func (w *Whole) add(b []byte) {
	w.hash.Write(b)
	w.next += int64(len(b))
}
