package tags

import (
	"bytes"
	"encoding/binary"
	"errors"
	"math"
)

// infoFields maps the chunks of LIST/INFO (RIFF, Multimedia Programming Interface
// 1.0, chapter 2). ISRC there is the source, and is taken only where it has the
// form of a recording code. IKEY there are keywords, and no key.
var infoFields = map[string]field{
	"INAM": title, "IART": artist, "IPRD": album, "ICRD": year, "IGNR": genre,
	"ICMT": comment, "ISRC": isrc, "IPUB": label, "IBPM": bpm,
}

// riff reads the tags of the WAV file at off: those in its ID3 chunk before those
// in LIST/INFO, before bext.
func (s source) riff(off int64, all *collection) error {
	magic, err := s.bytes(off, 4)
	if err != nil {
		return err
	}
	var order binary.ByteOrder = binary.LittleEndian
	if string(magic) == "RIFX" {
		order = binary.BigEndian
	}
	var id3, info, bext fields
	var dataSize int64 = -1 // from ds64
	errs := s.chunks(off+12, order, func(id string, at, size int64) (int64, error) {
		switch id {
		case "id3 ", "ID3 ":
			_, err := s.within(at+size).id3v2At(at, &id3)
			return size, err
		case "LIST":
			if kind, err := s.bytes(at, 4); err == nil && string(kind) == "INFO" {
				return size, s.info(at+4, size-4, order, &info)
			}
		case "bext":
			return size, s.bext(at, size, &bext)
		case "ds64":
			if b, err := s.bytes(at, 16); err == nil {
				dataSize = int64(min(order.Uint64(b[8:]), math.MaxInt64/2))
			}
		case "data":
			if size == math.MaxUint32 && dataSize >= 0 {
				return dataSize, nil
			}
			if size == 0 || size > s.size-at {
				return s.beforeTags(at, order) // streamed: to the tags at the end of the file
			}
		}
		return size, nil
	})
	all.put("ID3v2", &id3)
	all.put("LIST/INFO", &info)
	all.put("bext", &bext)
	return errs
}

// tagChunks are those that programs put behind the sound.
var tagChunks = map[string]bool{"LIST": true, "id3 ": true, "ID3 ": true, "bext": true}

// beforeTags returns the length of a data chunk whose size was never filled in: up to
// the chunks of tags that end with the file, or to the file's end.
func (s source) beforeTags(at int64, order binary.ByteOrder) (int64, error) {
	const farthest = 1 << 20 // bytes from the end; larger tags are rare in WAV
	from := max(at, s.size-farthest)
	b, err := s.bytes(from, int(s.size-from))
	if err != nil {
		return 0, err
	}
	for i := 0; i+8 <= len(b); i++ {
		if tagChunks[string(b[i:i+4])] && endsExactly(b[i:], order) {
			return from + int64(i) - at, nil
		}
	}
	return s.size - at, nil
}

// endsExactly tells whether b is a row of chunks without a remainder.
func endsExactly(b []byte, order binary.ByteOrder) bool {
	for len(b) >= 8 && chunkID(b[:4]) {
		next := 8 + int64(order.Uint32(b[4:]))
		next += next & 1
		if next >= int64(len(b)) {
			return next-int64(len(b)) <= 1 // the last pad byte may be missing
		}
		b = b[next:]
	}
	return false
}

// chunks calls visit for each chunk from off on, with the place and declared size
// of its content; visit returns the size to go by. A tag chunk that runs past the
// end of the file is visited for what is there.
func (s source) chunks(off int64, order binary.ByteOrder, visit func(id string, at, size int64) (int64, error)) error {
	var errs []error
	for range maxItems {
		h, err := s.bytes(off, 8)
		if err != nil {
			break // trailing bytes that are no chunk
		}
		size, err := visit(string(h[:4]), off+8, int64(order.Uint32(h[4:])))
		if err != nil && len(errs) < maxValues {
			errs = append(errs, err)
		}
		if size > s.size-off-8 {
			break
		}
		off += 8 + size
		if size%2 == 1 && !s.missingPad(off) {
			off++
		}
	}
	return errors.Join(errs...)
}

// missingPad tells whether a chunk begins at off, where a pad byte should be: some
// writers leave it out.
func (s source) missingPad(off int64) bool {
	b, err := s.bytes(off, 5)
	return err == nil && chunkID(b[:4]) && !chunkID(b[1:])
}

func chunkID(b []byte) bool {
	for _, c := range b {
		if c < ' ' || c > '~' {
			return false
		}
	}
	return true
}

// info reads the text chunks of a LIST/INFO.
func (s source) info(off, size int64, order binary.ByteOrder, f *fields) error {
	if size < 0 || off+size > s.size {
		size = s.size - off
	}
	return s.within(off+size).chunks(off, order, func(id string, at, n int64) (int64, error) {
		k, ok := infoFields[id]
		if !ok {
			return n, nil
		}
		b, err := s.within(off+size).text(at, n)
		if err != nil {
			return n, damaged(at-8, "a %s chunk of %d bytes where %d are left", id, n, off+size-at)
		}
		f.add(k, latin(cutNUL(b)))
		return n, nil
	})
}

// Places in the broadcast extension chunk (EBU Tech 3285 clause 2.3).
const (
	bextDescription = 256 // ASCII, at the start
	bextDate        = 320 // "yyyy-mm-dd"
	bextLeast       = 602
)

// bext reads the description, as a comment, and the year of origination.
func (s source) bext(at, size int64, f *fields) error {
	if size < bextLeast {
		return damaged(at, "a bext chunk of %d bytes, where the least is %d", size, bextLeast)
	}
	b, err := s.bytes(at, bextDate+10)
	if err != nil {
		return err
	}
	f.add(comment, latin(cutNUL(b[:bextDescription])))
	f.add(year, latin(bytes.Trim(b[bextDate:], "\x00")))
	return nil
}
