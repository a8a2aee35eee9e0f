package tags

import (
	"bufio"
	"io"
)

// id3Body is the part of an ID3v2 tag behind its header.
type id3Body interface {
	offset() int64 // in the file, of the next byte
	left() int64   // bytes to come, at most
	read(n int) ([]byte, error)
	skip(n int64) error
	// frameAt tells whether a frame, the padding or the end comes n bytes on.
	frameAt(n int64) bool
}

// plainBody is a body as it lies in the file.
type plainBody struct {
	s   source
	pos int64
}

func (b *plainBody) offset() int64 { return b.pos }
func (b *plainBody) left() int64   { return b.s.size - b.pos }

func (b *plainBody) read(n int) ([]byte, error) {
	p, err := b.s.bytes(b.pos, n)
	b.pos += int64(len(p))
	return p, err
}

func (b *plainBody) skip(n int64) error {
	b.pos += n
	return nil
}

func (b *plainBody) frameAt(n int64) bool {
	if n == b.left() {
		return true
	}
	p, err := b.s.bytes(b.pos+n, 4)
	return err == nil && (p[0] == 0 || frameID(p))
}

// unsyncBody undoes the unsynchronisation of a whole tag (ID3v2.3 clause 5): a
// zero byte was put behind every FF, and sizes count without it.
type unsyncBody struct {
	br      *bufio.Reader
	pos     int64 // in the file, of the next byte
	end     int64
	afterFF bool
}

func newUnsyncBody(s source, off, size int64) *unsyncBody {
	return &unsyncBody{br: bufio.NewReaderSize(io.NewSectionReader(s.r, off, size), 64<<10), pos: off, end: off + size}
}

func (b *unsyncBody) offset() int64 { return b.pos }
func (b *unsyncBody) left() int64   { return b.end - b.pos }

func (b *unsyncBody) next() (byte, error) {
	for {
		c, err := b.br.ReadByte()
		if err != nil {
			if err == io.EOF {
				err = damaged(b.pos, "an ID3 tag stops before its end")
			}
			return 0, err
		}
		b.pos++
		drop := b.afterFF && c == 0
		b.afterFF = c == 0xFF
		if !drop {
			return c, nil
		}
	}
}

func (b *unsyncBody) read(n int) ([]byte, error) {
	p := make([]byte, n)
	for i := range p {
		c, err := b.next()
		if err != nil {
			return nil, err
		}
		p[i] = c
	}
	return p, nil
}

func (b *unsyncBody) skip(n int64) error {
	for ; n > 0; n-- {
		if _, err := b.next(); err != nil {
			return err
		}
	}
	return nil
}

// frameAt is only asked of version 2.4, which has no such bodies.
func (b *unsyncBody) frameAt(int64) bool { return true }
