package mp3

import (
	"errors"
	"io"
)

// inputBytes is the size of the window on the file. It holds the frames that
// sync looks ahead over, with room to read in steps worth a call.
const inputBytes = 1 << 16

// input reads src through a window that moves forward only.
type input struct {
	src  io.ReaderAt
	end  int64 // offset of the end of what may be read
	next int64 // offset of the next byte to go into the window
	buf  []byte
	r, w int
	err  error // what the medium said, not io.EOF
}

func newInput(src *io.SectionReader) *input {
	return &input{src: src, end: src.Size(), buf: make([]byte, inputBytes)}
}

// offset of the next byte to be peeked at.
func (in *input) offset() int64 { return in.next - int64(in.w-in.r) }

// left is the number of bytes from offset to the end.
func (in *input) left() int64 { return in.end - in.offset() }

// peek returns the next n bytes, at most inputBytes, or fewer at the end. They
// are valid until the next call of peek.
func (in *input) peek(n int) []byte {
	if in.w-in.r < n {
		in.fill(n)
	}
	return in.buf[in.r:min(in.r+n, in.w)]
}

func (in *input) fill(n int) {
	in.w = copy(in.buf, in.buf[in.r:in.w])
	in.r = 0
	for in.w < n && in.next < in.end && in.err == nil {
		room := min(int64(len(in.buf)-in.w), in.end-in.next)
		k, err := in.src.ReadAt(in.buf[in.w:in.w+int(room)], in.next)
		in.w += k
		in.next += int64(k)
		switch {
		case errors.Is(err, io.EOF):
			in.end = in.next
		case err != nil:
			in.err = err
		}
	}
}

// skip moves on by n bytes without reading them, at most to the end.
func (in *input) skip(n int64) {
	if have := int64(in.w - in.r); n > have {
		in.next = min(in.next+n-have, in.end)
		in.r, in.w = 0, 0
		return
	}
	in.r += int(n)
}

// moveTo goes to an offset, also backwards.
func (in *input) moveTo(offset int64) {
	in.next = min(offset, in.end)
	in.r, in.w = 0, 0
}

// at reads n bytes at the offset, wherever the window is; nil if it can't.
func (in *input) at(offset int64, n int) []byte {
	if offset < 0 || offset+int64(n) > in.end {
		return nil
	}
	b := make([]byte, n)
	if k, err := in.src.ReadAt(b, offset); k < n {
		if err != nil && !errors.Is(err, io.EOF) {
			in.err = err
		}
		return nil
	}
	return b
}
