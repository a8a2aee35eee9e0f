package decode

import (
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
