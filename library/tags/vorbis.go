package tags

import (
	"bufio"
	"encoding/binary"
	"io"
	"strings"
)

// vorbisComments reads a Vorbis comment header (Vorbis I specification, clause 5)
// from r: the vendor string, the number of comments, then "NAME=value" each, every
// one behind its length. size is how many bytes there are at most, off where they
// lie in the file, for errors.
func vorbisComments(r io.Reader, size, off int64, f *fields) error {
	v := &vorbisReader{br: bufio.NewReader(r), left: size, off: off}
	n, err := v.length()
	if err != nil {
		return err
	}
	if err := v.skip(n); err != nil {
		return err
	}
	count, err := v.uint32()
	if err != nil {
		return err
	}
	for i := int64(0); i < count && i < maxItems; i++ {
		n, err := v.length()
		if err != nil {
			return err
		}
		text, err := v.text(n)
		if err != nil {
			return err
		}
		name, value, ok := strings.Cut(utf8Text(text), "=")
		if k, known := named(name); ok && known {
			f.add(k, value)
		}
	}
	return nil
}

// vorbisReader reads the parts of a comment header.
type vorbisReader struct {
	br        *bufio.Reader
	left, off int64
}

func (v *vorbisReader) uint32() (int64, error) {
	var b [4]byte
	if v.left < 4 {
		return 0, damaged(v.off, "a Vorbis comment stops before its end")
	}
	if _, err := io.ReadFull(v.br, b[:]); err != nil {
		return 0, v.failed(err)
	}
	v.left -= 4
	v.off += 4
	return int64(binary.LittleEndian.Uint32(b[:])), nil
}

// length reads the length of what follows and checks it.
func (v *vorbisReader) length() (int64, error) {
	n, err := v.uint32()
	if err == nil && n > v.left {
		err = damaged(v.off-4, "a Vorbis comment of %d bytes where %d are left", n, v.left)
	}
	return n, err
}

// text reads n bytes and keeps the first maxText.
func (v *vorbisReader) text(n int64) ([]byte, error) {
	b := make([]byte, min(n, maxText))
	if _, err := io.ReadFull(v.br, b); err != nil {
		return nil, v.failed(err)
	}
	v.left -= int64(len(b))
	v.off += int64(len(b))
	return b, v.skip(n - int64(len(b)))
}

func (v *vorbisReader) skip(n int64) error {
	if _, err := io.CopyN(io.Discard, v.br, n); err != nil {
		return v.failed(err)
	}
	v.left -= n
	v.off += n
	return nil
}

func (v *vorbisReader) failed(err error) error {
	if err == io.EOF || err == io.ErrUnexpectedEOF {
		return damaged(v.off, "a Vorbis comment stops before its end")
	}
	return err
}
