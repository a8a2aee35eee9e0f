package tags

import (
	"bytes"
	"compress/zlib"
	"encoding/binary"
	"io"
)

const (
	id3Header = 10
	// Flags of the header of an ID3v2 tag.
	id3Unsync   = 0x80
	id3Extended = 0x40 // in 2.2: compression, for which no scheme was ever set
	id3Footer   = 0x10 // 2.4
)

// id3v2Tag is one tag. Offsets are the file's.
type id3v2Tag struct {
	version byte
	flags   byte
	start   int64 // first byte of the header
	end     int64 // behind the tag, footer and all
}

// id3v2At reads every ID3v2 tag that follows another at off, into f the first
// first. It returns where what is no tag begins.
func (s source) id3v2At(off int64, f *fields) (int64, error) {
	var first error
	for range maxItems {
		t, ok := s.id3v2Header(off, "ID3")
		if !ok {
			break
		}
		var one fields
		if err := s.id3v2(t, &one); first == nil {
			first = err
		}
		f.fill(&one)
		if t.end >= s.size {
			return s.size, first
		}
		off = t.end
	}
	return off, first
}

// id3v2Header tells whether an ID3v2 header lies at off. magic is "ID3", or "3DI"
// for a footer.
func (s source) id3v2Header(off int64, magic string) (id3v2Tag, bool) {
	b, err := s.bytes(off, id3Header)
	if err != nil || string(b[:3]) != magic || b[3] == 0xFF || b[4] == 0xFF || (b[6]|b[7]|b[8]|b[9])&0x80 != 0 {
		return id3v2Tag{}, false
	}
	t := id3v2Tag{version: b[3], flags: b[5], start: off, end: off + id3Header + syncsafe(b[6:])}
	if t.version >= 4 && t.flags&id3Footer != 0 {
		t.end += id3Header
	}
	return t, true
}

// syncsafe reads four bytes of seven bits each.
func syncsafe(b []byte) int64 {
	return int64(b[0]&0x7F)<<21 | int64(b[1]&0x7F)<<14 | int64(b[2]&0x7F)<<7 | int64(b[3]&0x7F)
}

// id3v2 reads the frames of t.
func (s source) id3v2(t id3v2Tag, f *fields) error {
	if t.version < 2 || t.version > 4 || t.version == 2 && t.flags&id3Extended != 0 {
		return damaged(t.start, "an ID3 tag of version 2.%d with flags %#02x, which is not known", t.version, t.flags)
	}
	size := t.end - t.start - id3Header
	if t.version == 4 && t.flags&id3Footer != 0 {
		size -= id3Header
	}
	var truncated error
	if t.start+id3Header+size > s.size {
		truncated = damaged(t.start, "an ID3 tag of %d bytes in a file of %d", size, s.size)
		size = s.size - t.start - id3Header
	}
	var body id3Body = &plainBody{s: s.within(t.start + id3Header + size), pos: t.start + id3Header}
	if t.version < 4 && t.flags&id3Unsync != 0 {
		body = newUnsyncBody(s, t.start+id3Header, size)
	}
	fr := id3Frames{tag: t, body: body, f: f}
	if err := fr.all(); err != nil {
		return err
	}
	return truncated
}

// id3Frames walks the frames of a tag.
type id3Frames struct {
	tag      id3v2Tag
	body     id3Body
	f        *fields
	comments []id3Comment
}

func (fr *id3Frames) all() error {
	err := fr.skipExtended()
	for i := 0; i < maxItems && err == nil; i++ {
		var more bool
		if more, err = fr.next(); !more {
			break
		}
	}
	fr.addComment()
	return err
}

// skipExtended passes over an extended header: 2.3 gives its size without the
// four bytes of the size, 2.4 with them and syncsafe.
func (fr *id3Frames) skipExtended() error {
	if fr.tag.version < 3 || fr.tag.flags&id3Extended == 0 {
		return nil
	}
	at := fr.body.offset()
	b, err := fr.body.read(4)
	if err != nil {
		return err
	}
	n := int64(binary.BigEndian.Uint32(b))
	if fr.tag.version == 4 {
		n = syncsafe(b) - 4
	}
	if n < 0 || n > fr.body.left() {
		return damaged(at, "an extended ID3 header of %d bytes where %d are left", n, fr.body.left())
	}
	return fr.body.skip(n)
}

// next reads one frame; false at the padding or the end.
func (fr *id3Frames) next() (bool, error) {
	idLen, headLen := 4, 10
	if fr.tag.version == 2 {
		idLen, headLen = 3, 6
	}
	if fr.body.left() < int64(headLen) {
		return false, nil
	}
	at := fr.body.offset()
	h, err := fr.body.read(headLen)
	if err != nil || h[0] == 0 {
		return false, err
	}
	if !frameID(bytes.ToUpper(h[:idLen])) { // one in small letters is none that is known, and is passed over
		return false, damaged(at, "no ID3 frame where one should be")
	}
	size := fr.frameSize(h)
	if size > fr.body.left() {
		return false, damaged(at, "an ID3 frame %q of %d bytes where %d are left", h[:idLen], size, fr.body.left())
	}
	id := string(bytes.TrimRight(h[:idLen], "\x00 "))
	if !wantedFrame(id) {
		return true, fr.body.skip(size)
	}
	keep := min(size, maxText)
	data, err := fr.body.read(int(keep))
	if err != nil {
		return false, err
	}
	if err := fr.body.skip(size - keep); err != nil {
		return false, err
	}
	var flags byte
	if headLen == 10 {
		flags = h[9]
	}
	if data, ok := fr.unpack(data, flags); ok {
		fr.take(id, data)
	}
	return true, nil
}

// frameID tells whether b can name a frame: capitals and digits; a last byte may be
// NUL or a space, as in frames of version 2.2 within tags of version 2.3.
func frameID(b []byte) bool {
	for i, c := range b {
		if !(c >= 'A' && c <= 'Z' || c >= '0' && c <= '9' || i == 3 && (c == 0 || c == ' ')) {
			return false
		}
	}
	return true
}

// frameSize reads the size in a frame's header. In version 2.4 it is syncsafe;
// where that does not lead to another frame and a plain number does, a writer got
// it wrong and the plain number is meant.
func (fr *id3Frames) frameSize(h []byte) int64 {
	if fr.tag.version == 2 {
		return int64(h[3])<<16 | int64(h[4])<<8 | int64(h[5])
	}
	plain := int64(binary.BigEndian.Uint32(h[4:]))
	if fr.tag.version == 3 {
		return plain
	}
	safe := syncsafe(h[4:])
	if plain == safe {
		return safe
	}
	if (h[4]|h[5]|h[6]|h[7])&0x80 != 0 || !fr.body.frameAt(safe) && fr.body.frameAt(plain) {
		return plain
	}
	return safe
}

// unpack undoes what the frame's format flags say was done to data; false for an
// encrypted frame and one that cannot be unpacked.
func (fr *id3Frames) unpack(data []byte, flags byte) ([]byte, bool) {
	var compressed, encrypted, grouped, unsync, length bool
	switch fr.tag.version {
	case 3:
		compressed, encrypted, grouped = flags&0x80 != 0, flags&0x40 != 0, flags&0x20 != 0
		length = compressed
	case 4:
		grouped, compressed, encrypted = flags&0x40 != 0, flags&0x08 != 0, flags&0x04 != 0
		unsync = flags&0x02 != 0 || fr.tag.flags&id3Unsync != 0
		length = flags&0x01 != 0
	}
	skip := 0
	if grouped {
		skip++
	}
	if length {
		skip += 4
	}
	if encrypted || len(data) < skip {
		return nil, false
	}
	data = data[skip:]
	if unsync {
		data = bytes.ReplaceAll(data, []byte{0xFF, 0}, []byte{0xFF})
	}
	if !compressed {
		return data, true
	}
	z, err := zlib.NewReader(bytes.NewReader(data))
	if err != nil {
		return nil, false
	}
	data, err = io.ReadAll(io.LimitReader(z, maxText))
	return data, err == nil || len(data) > 0
}
