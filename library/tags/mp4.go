package tags

import (
	"encoding/binary"
	"math"
	"strconv"
)

// items maps the items of the iTunes-style list, "moov.udta.meta.ilst", and the
// QuickTime texts of the same names in "moov.udta".
var items = map[string]field{
	"\xa9nam": title, "\xa9ART": artist, "\xa9art": artist, "aART": albumArtist, "\xa9alb": album,
	"\xa9day": year, "\xa9gen": genre, "gnre": genre, "\xa9cmt": comment, "desc": comment,
	"tmpo": bpm, "\xa9pub": label,
}

// Well-known types of the value of an MP4 item.
const (
	mp4UTF16   = 2
	mp4Integer = 21
)

// mp4 reads the item list of the MP4 file at off (ISO/IEC 14496-12 for the boxes).
func (s source) mp4(off int64, f *fields) error {
	w := mp4Walk{f: f}
	err := w.boxes(s, off, "")
	// A tempo with decimals in a free-form item says more than the integer.
	w.free.fill(f)
	*f = w.free
	return err
}

type mp4Walk struct {
	f     *fields
	free  fields // "----" items
	boxed int
}

// boxes walks the boxes from off to the end of s.
func (w *mp4Walk) boxes(s source, off int64, parent string) error {
	for s.size-off >= 8 {
		if w.boxed++; w.boxed > maxItems {
			return nil
		}
		h, err := s.bytes(off, 8)
		if err != nil {
			return err
		}
		name, size, head := string(h[4:]), int64(binary.BigEndian.Uint32(h)), int64(8)
		switch size {
		case 0:
			size = s.size - off
		case 1:
			b, err := s.bytes(off+8, 8)
			if err != nil {
				return err
			}
			size, head = int64(min(binary.BigEndian.Uint64(b), math.MaxInt64/2)), 16
		}
		if size < head {
			if parent == "moov.udta" {
				return nil // QuickTime ends the list with a zero
			}
			return damaged(off, "an MP4 box %q of %d bytes", name, size)
		}
		if size > s.size-off {
			if name == "mdat" {
				return nil
			}
			return damaged(off, "an MP4 box %q of %d bytes where %d are left", name, size, s.size-off)
		}
		if err := w.box(s.within(off+size), off+head, parent, name); err != nil {
			return err
		}
		off += size
	}
	return nil
}

// box goes into one box where it leads to tags.
func (w *mp4Walk) box(s source, at int64, parent, name string) error {
	switch parent + "/" + name {
	case "/moov":
		return w.boxes(s, at, "moov")
	case "moov/udta":
		return w.boxes(s, at, "moov.udta")
	case "moov.udta/meta", "moov/meta":
		// A full box, with four bytes of version and flags, but not in QuickTime.
		if b, err := s.bytes(at+4, 4); err != nil || string(b) != "hdlr" {
			at += 4
		}
		return w.boxes(s, at, "meta")
	case "meta/ilst":
		return w.boxes(s, at, "ilst")
	case "ilst/----":
		return w.freeform(s, at)
	}
	k, ok := items[name]
	switch {
	case ok && parent == "ilst":
		return w.item(s, at, name, k)
	case ok && parent == "moov.udta" && s.size-at > 4:
		b, err := s.text(at+4, s.size-at-4) // behind length and language
		if err == nil {
			w.f.add(k, utf8Text(cutNUL(b)))
		}
		return err
	}
	return nil
}

// item reads the "data" boxes of an item.
func (w *mp4Walk) item(s source, at int64, name string, k field) error {
	return eachData(s, at, func(sub string, kind uint32, value []byte) {
		if sub != "data" {
			return
		}
		switch {
		case name == "gnre":
			if n, ok := bigEndianInt(value); ok && n > 0 {
				if g, known := genreName(strconv.FormatInt(n-1, 10)); known {
					w.f.add(k, g)
				}
			}
		case name == "tmpo" || kind == mp4Integer:
			if n, ok := bigEndianInt(value); ok {
				w.f.add(k, strconv.FormatInt(n, 10))
			}
		case kind == mp4UTF16:
			w.f.add(k, utf16Text(value, true, false))
		default:
			w.f.add(k, utf8Text(value))
		}
	})
}

// freeform reads a "----" item: who defined it, its name, its values.
func (w *mp4Walk) freeform(s source, at int64) error {
	var k field
	known := false
	return eachData(s, at, func(sub string, kind uint32, value []byte) {
		switch {
		case sub == "name":
			k, known = named(string(value))
		case sub != "data" || !known:
		case kind == mp4Integer:
			if n, ok := bigEndianInt(value); ok {
				w.free.add(k, strconv.FormatInt(n, 10))
			}
		case kind == mp4UTF16:
			w.free.add(k, utf16Text(value, true, false))
		default:
			w.free.add(k, utf8Text(value))
		}
	})
}

// eachData calls use for each sub-box of an item, with its type (of "data") and its
// value, at most maxText bytes of it.
func eachData(s source, off int64, use func(sub string, kind uint32, value []byte)) error {
	for range maxValues {
		if s.size-off < 12 {
			return nil
		}
		h, err := s.bytes(off, 12)
		if err != nil {
			return err
		}
		size, sub, head := int64(binary.BigEndian.Uint32(h)), string(h[4:8]), int64(12)
		if sub == "data" {
			head = 16 // the locale follows
		}
		if size < head || size > s.size-off {
			return damaged(off, "an MP4 item's %q of %d bytes where %d are left", sub, size, s.size-off)
		}
		b, err := s.text(off+head, size-head)
		if err != nil {
			return err
		}
		use(sub, binary.BigEndian.Uint32(h[8:])&0xFFFFFF, b)
		off += size
	}
	return nil
}

// bigEndianInt reads a number of 1 to 8 bytes.
func bigEndianInt(b []byte) (int64, bool) {
	if len(b) < 1 || len(b) > 8 {
		return 0, false
	}
	var n int64
	for _, c := range b {
		n = n<<8 | int64(c)
	}
	return n, true
}
