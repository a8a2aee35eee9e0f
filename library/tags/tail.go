package tags

import (
	"encoding/binary"
	"errors"
	"strings"
)

const (
	id3v1Size  = 128
	apeFooter  = 32
	apeMagic   = "APETAGEX"
	apeBinary  = 2 // item flags, bits 1 and 2: 0 text, 1 binary, 2 link
	apeKeyMax  = 255
	apeHeader  = 1 << 31 // tag flag: the tag has a header
	apeOwnSize = 8       // of an item's two numbers
)

// tail reads the tags at the end of the file: APEv2, an appended ID3v2.4, ID3v1.
func (s source) tail(all *collection) error {
	var v1, ape, id3 fields
	end := s.size
	if b, err := s.bytes(end-id3v1Size, id3v1Size); err == nil && string(b[:3]) == "TAG" {
		id3v1(b, &v1)
		end -= id3v1Size
	}
	var errs []error
	for range 3 { // each of the two, in any order
		if next, ok, err := s.ape(end, &ape); ok {
			errs = append(errs, err)
			end = next
			continue
		}
		t, ok := s.id3v2Header(end-id3Header, "3DI")
		if size := t.end - t.start; ok && size <= end {
			t.start, t.end = end-size, end
			errs = append(errs, s.id3v2(t, &id3))
			end = t.start
		}
	}
	if b, err := s.bytes(0, apeFooter); err == nil && string(b[:8]) == apeMagic {
		errs = append(errs, s.apeItems(apeFooter, int64(binary.LittleEndian.Uint32(b[12:])), b, &ape))
	}
	all.put("ID3v2 at the end", &id3)
	all.put("APEv2", &ape)
	all.put("ID3v1", &v1)
	return errors.Join(errs...)
}

// id3v1 reads the 128 bytes of an ID3v1 or 1.1 tag.
func id3v1(b []byte, f *fields) {
	text := func(from, to int) string { return strings.TrimSpace(latin(cutNUL(b[from:to]))) }
	f.add(title, text(3, 33))
	f.add(artist, text(33, 63))
	f.add(album, text(63, 93))
	f.add(year, text(93, 97))
	f.add(comment, text(97, 127)) // in 1.1 a NUL and the track number end it
	if n := int(b[127]); n < len(id3v1Genres) {
		f.add(genre, id3v1Genres[n])
	}
}

// ape reads an APEv2 tag that ends at end; ok tells whether there is one, and next
// is where it begins.
func (s source) ape(end int64, f *fields) (next int64, ok bool, err error) {
	b, e := s.bytes(end-apeFooter, apeFooter)
	if e != nil || string(b[:8]) != apeMagic {
		return end, false, nil
	}
	size := int64(binary.LittleEndian.Uint32(b[12:])) // items and footer
	next = end - size
	if size < apeFooter || next < 0 {
		return end - apeFooter, true, damaged(end-apeFooter, "an APE tag of %d bytes where %d are", size, end)
	}
	err = s.within(end-apeFooter).apeItems(next, size-apeFooter, b, f)
	if binary.LittleEndian.Uint32(b[20:])&apeHeader != 0 {
		next -= apeFooter
	}
	return max(0, next), true, err
}

// apeItems reads the items at off: length of the value, flags, name, NUL, value.
func (s source) apeItems(off, size int64, footer []byte, f *fields) error {
	s = s.within(off + size)
	count := min(int64(binary.LittleEndian.Uint32(footer[16:])), maxItems)
	for range count {
		h, err := s.bytes(off, apeOwnSize)
		if err != nil {
			return err
		}
		n := int64(binary.LittleEndian.Uint32(h))
		flags := binary.LittleEndian.Uint32(h[4:])
		off += apeOwnSize
		name, err := s.text(off, min(apeKeyMax+1, s.size-off))
		if err != nil {
			return err
		}
		name = cutNUL(name)
		off += int64(len(name)) + 1
		if n > s.size-off {
			return damaged(off, "an APE item of %d bytes where %d are left", n, max(0, s.size-off))
		}
		if k, ok := named(string(name)); ok && flags&6 != apeBinary {
			value, err := s.text(off, n)
			if err != nil {
				return err
			}
			for _, v := range decodeEach(value, utf8Text) {
				f.add(k, v)
			}
		}
		off += n
	}
	return nil
}
