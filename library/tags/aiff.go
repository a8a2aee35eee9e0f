package tags

import "encoding/binary"

// aiff reads the tags of the AIFF or AIFF-C file at off: those in its ID3 chunk
// before the text chunks NAME, AUTH, ANNO and COMT (Audio Interchange File Format 1.3).
func (s source) aiff(off int64, all *collection) error {
	var id3, text fields
	kinds := map[string]field{"NAME": title, "AUTH": artist, "ANNO": comment}
	err := s.chunks(off+12, binary.BigEndian, func(id string, at, size int64) (int64, error) {
		if id == "ID3 " || id == "id3 " {
			_, err := s.within(at+size).id3v2At(at, &id3)
			return size, err
		}
		if id == "COMT" {
			return size, s.within(at+size).comt(at, &text)
		}
		k, ok := kinds[id]
		if !ok {
			return size, nil
		}
		b, err := s.text(at, size)
		if err != nil {
			return size, damaged(at-8, "a %s chunk of %d bytes where %d are left", id, size, s.size-at)
		}
		text.add(k, latin(cutNUL(b)))
		return size, nil
	})
	all.put("ID3v2", &id3)
	all.put("AIFF text", &text)
	return err
}

// comt reads a comments chunk: a count, then time stamp, marker, length and text of
// each.
func (s source) comt(at int64, f *fields) error {
	h, err := s.bytes(at, 2)
	if err != nil {
		return err
	}
	at += 2
	for range min(binary.BigEndian.Uint16(h), maxValues) {
		h, err := s.bytes(at, 8)
		if err != nil {
			return err
		}
		n := int64(binary.BigEndian.Uint16(h[6:]))
		b, err := s.text(at+8, n)
		if err != nil {
			return err
		}
		f.add(comment, latin(cutNUL(b)))
		at += 8 + n + n%2
	}
	return nil
}
