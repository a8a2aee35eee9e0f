package decode

import (
	"bytes"
	"fmt"
	"io"
)

// headBytes is how much of a file is looked at to tell its format.
const headBytes = 4096

// readHead gives the first bytes of src, fewer when the file is shorter.
func readHead(src io.ReaderAt) ([]byte, error) {
	b := make([]byte, headBytes)
	n, err := src.ReadAt(b, 0)
	if err != nil && err != io.EOF {
		return nil, fmt.Errorf("reading the head: %w", err)
	}
	return b[:n], nil
}

// skipID3 returns the offset behind the ID3v2 tags at the head of src, of which
// some programs write more than one (ID3v2.4.0 structure, section 3.1). A tag
// that claims to be longer than the file is not passed over.
func skipID3(src *io.SectionReader) (int64, error) {
	const tagHeader = 10
	var offset int64
	for {
		b := make([]byte, tagHeader)
		n, err := src.ReadAt(b, offset)
		if err != nil && err != io.EOF {
			return 0, fmt.Errorf("reading at byte %d: %w", offset, err)
		}
		if n < tagHeader || string(b[:3]) != "ID3" || b[3] == 0xff || b[4] == 0xff || (b[6]|b[7]|b[8]|b[9])&0x80 != 0 {
			return offset, nil
		}
		next := offset + tagHeader + int64(b[6])<<21 + int64(b[7])<<14 + int64(b[8])<<7 + int64(b[9])
		if b[5]&0x10 != 0 {
			next += tagHeader // a footer
		}
		if next > src.Size() {
			return offset, nil
		}
		offset = next
	}
}

// behindWrongID3 looks for a file of another format behind an ID3v2 tag whose length
// is wrong; 0 when there is none.
func behindWrongID3(src *io.SectionReader) (int64, error) {
	const farthest = 1 << 20 // bytes; a tag with a picture
	b := make([]byte, min(src.Size(), farthest))
	if _, err := src.ReadAt(b, 0); err != nil && err != io.EOF {
		return 0, fmt.Errorf("reading the head: %w", err)
	}
	if !bytes.HasPrefix(b, []byte("ID3")) {
		return 0, nil
	}
	for _, m := range []struct {
		mark   string
		offset int // of the mark in the file
	}{{"fLaC\x00\x00\x00\x22", 0}, {"WAVEfmt ", 8}, {"AIFFCOMM", 8}, {"AIFCFVER", 8}} {
		if at := bytes.Index(b, []byte(m.mark)) - m.offset; at > 0 {
			return int64(at), nil
		}
	}
	return 0, nil
}
