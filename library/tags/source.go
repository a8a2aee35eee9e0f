package tags

import (
	"io"

	"dubgauge/decode/stream"
)

const (
	// maxText is how much of one value is read, in bytes; MaxChars characters
	// fit in it in any encoding.
	maxText = 16 << 10
	// maxItems bounds the frames, chunks, atoms or comments that are walked, so
	// that a hostile file costs milliseconds; real files have under a hundred.
	maxItems = 10000
)

// source is a file, or a part of one whose offsets are still the file's.
type source struct {
	r    io.ReaderAt
	size int64 // offset of the end
}

// bytes reads n bytes at off. What the file has not got is an error.
func (s source) bytes(off int64, n int) ([]byte, error) {
	if off < 0 || off > s.size || int64(n) > s.size-off {
		return nil, stream.Errorf(stream.Truncated, "a tag stops before its end").AtOffset(off)
	}
	b := make([]byte, n)
	if m, err := s.r.ReadAt(b, off); m < n {
		return nil, err
	}
	return b, nil
}

// text reads n bytes at off, at most maxText of them.
func (s source) text(off, n int64) ([]byte, error) {
	return s.bytes(off, int(min(n, maxText)))
}

// within returns s ending at end at the latest.
func (s source) within(end int64) source {
	return source{s.r, max(0, min(end, s.size))}
}

// damaged makes the error for tags that break the rules of their form.
func damaged(off int64, format string, args ...any) error {
	return stream.Errorf(stream.Damaged, format, args...).AtOffset(off)
}
