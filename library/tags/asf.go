package tags

import (
	"encoding/binary"
	"math"
	"strconv"
)

// Identifiers of ASF objects, as they lie in the file (Advanced Systems Format,
// clause 10).
const (
	asfHeader   = "\x30\x26\xb2\x75\x8e\x66\xcf\x11\xa6\xd9\x00\xaa\x00\x62\xce\x6c"
	asfContent  = "\x33\x26\xb2\x75\x8e\x66\xcf\x11\xa6\xd9\x00\xaa\x00\x62\xce\x6c"
	asfExtended = "\x40\xa4\xd0\xd2\x07\xe3\xd2\x11\x97\xf0\x00\xa0\xc9\x5e\xa8\x50"
)

// asfNames maps the names of the extended content description; others go by their
// free-form names.
var asfNames = map[string]field{
	"WM/AlbumTitle": album, "WM/AlbumArtist": albumArtist, "WM/Publisher": label, "WM/ISRC": isrc,
	"WM/Year": year, "WM/Genre": genre, "WM/BeatsPerMinute": bpm, "WM/InitialKey": key,
	"WM/CatalogNo": catalogue, "WM/OriginalReleaseYear": originalYear,
}

// asf reads the content descriptions in the header object at off.
func (s source) asf(off int64, f *fields) error {
	h, err := s.bytes(off, 30)
	if err != nil || string(h[:16]) != asfHeader {
		return err
	}
	end := off + int64(min(binary.LittleEndian.Uint64(h[16:]), math.MaxInt32))
	s = s.within(end)
	for off += 30; s.size-off >= 24; {
		h, err := s.bytes(off, 24)
		if err != nil {
			return err
		}
		size := int64(min(binary.LittleEndian.Uint64(h[16:]), math.MaxInt64/2))
		if size < 24 || size > s.size-off {
			return damaged(off, "an ASF object of %d bytes where %d are left", size, s.size-off)
		}
		switch string(h[:16]) {
		case asfContent:
			err = s.within(off+size).asfContent(off+24, f)
		case asfExtended:
			err = s.within(off+size).asfExtended(off+24, f)
		}
		if err != nil {
			return err
		}
		off += size
	}
	return nil
}

// asfContent reads five lengths, then title, author, copyright, description and
// rating in UTF-16.
func (s source) asfContent(at int64, f *fields) error {
	h, err := s.bytes(at, 10)
	if err != nil {
		return err
	}
	at += 10
	for i := range 5 {
		n := int64(binary.LittleEndian.Uint16(h[2*i:]))
		b, err := s.text(at, n)
		if err != nil {
			return err
		}
		switch i {
		case 0:
			f.add(title, utf16Text(b, false, false))
		case 1:
			f.add(artist, utf16Text(b, false, false))
		case 3:
			f.add(comment, utf16Text(b, false, false))
		}
		at += n
	}
	return nil
}

// asfExtended reads a count, then name, type and value of each.
func (s source) asfExtended(at int64, f *fields) error {
	h, err := s.bytes(at, 2)
	if err != nil {
		return err
	}
	at += 2
	for range binary.LittleEndian.Uint16(h) {
		if h, err = s.bytes(at, 2); err != nil {
			return err
		}
		n := int64(binary.LittleEndian.Uint16(h))
		raw, err := s.text(at+2, n)
		if err != nil {
			return err
		}
		at += 2 + n
		if h, err = s.bytes(at, 4); err != nil {
			return err
		}
		kind, size := binary.LittleEndian.Uint16(h), int64(binary.LittleEndian.Uint16(h[2:]))
		value, err := s.text(at+4, size)
		if err != nil {
			return err
		}
		at += 4 + size
		name := clean(utf16Text(raw, false, false))
		k, ok := asfNames[name]
		if !ok {
			k, ok = named(name)
		}
		if ok {
			f.add(k, asfValue(kind, value))
		}
	}
	return nil
}

// asfValue gives a value as text, "" for one that is neither text nor a number
// (Advanced Systems Format, clause 3.11, value data types).
func asfValue(kind uint16, b []byte) string {
	switch {
	case kind == 0:
		return utf16Text(b, false, false)
	case kind == 3 && len(b) == 4:
		return strconv.FormatUint(uint64(binary.LittleEndian.Uint32(b)), 10)
	case kind == 4 && len(b) == 8:
		return strconv.FormatUint(binary.LittleEndian.Uint64(b), 10)
	case kind == 5 && len(b) == 2:
		return strconv.FormatUint(uint64(binary.LittleEndian.Uint16(b)), 10)
	}
	return ""
}
