package wav

import (
	"encoding/binary"
	"fmt"
	"io"

	"dubgauge/decode/stream"
)

// file is the source with the byte order that its first four bytes tell.
type file struct {
	src   *io.SectionReader
	order binary.ByteOrder
	size  int64
}

// read gives n bytes at offset: damaged content when the file ends before them,
// what the medium says when that fails.
func (f *file) read(offset int64, n int) ([]byte, error) {
	b := make([]byte, n)
	got, err := f.src.ReadAt(b, offset)
	switch {
	case got == n:
		return b, nil
	case err == io.EOF:
		return nil, stream.Errorf(stream.Truncated, "the file ends inside its header").AtOffset(offset + int64(got))
	}
	return nil, fmt.Errorf("reading at byte %d: %w", offset+int64(got), err)
}

// chunk is one chunk's place in the file. The size is the declared one; avail is
// what of it lies inside the file.
type chunk struct {
	id    string
	body  int64 // offset
	size  uint32
	avail int64
}

const chunkHeader = 8 // four letters and a size

// chunkAt reads the header at offset; ok is false behind the last chunk.
func (f *file) chunkAt(offset int64) (c chunk, ok bool, err error) {
	if offset+chunkHeader > f.size {
		return c, false, nil
	}
	b, err := f.read(offset, chunkHeader)
	if err != nil {
		return c, false, err
	}
	c = chunk{id: string(b[:4]), body: offset + chunkHeader, size: f.order.Uint32(b[4:])}
	c.avail = min(int64(c.size), f.size-c.body)
	return c, true, nil
}

// after returns the offset of the chunk that follows a body ending at end. A body
// of odd length has a pad byte behind it, which some writers leave out: then the
// next identifier stands right there.
func (f *file) after(end int64, odd bool) (int64, error) {
	if !odd || end+4 > f.size {
		return end, nil
	}
	b, err := f.read(end, int(min(5, f.size-end)))
	if err != nil {
		return 0, err
	}
	if plausibleID(b[:4]) && !(len(b) == 5 && plausibleID(b[1:5])) {
		return end, nil
	}
	return end + 1, nil
}

// plausibleID says whether b can name a chunk: four printable characters, the
// first of them no space.
func plausibleID(b []byte) bool {
	for i, c := range b {
		if c < ' ' || c > '~' || c == ' ' && i == 0 {
			return false
		}
	}
	return true
}

// knownIDs are chunks that are met in WAV files in the field. They tell an empty
// data chunk from one whose size was never filled in.
var knownIDs = map[string]bool{
	"fmt ": true, "data": true, "fact": true, "LIST": true, "id3 ": true, "ID3 ": true, "bext": true, "iXML": true,
	"cue ": true, "smpl": true, "inst": true, "acid": true, "PEAK": true, "JUNK": true, "junk": true, "FLLR": true, "PAD ": true,
	"plst": true, "cart": true, "axml": true, "chna": true, "DISP": true, "_PMX": true, "afsp": true, "ds64": true,
}
