package external

import (
	"bytes"
	"encoding/binary"
	"io"

	"dubgauge/decode/stream"
)

// oggWalk goes through the pages of an Ogg file (RFC 3533, section 6).
type oggWalk struct {
	src    io.ReaderAt
	size   int64
	rate   float64 // granules a second
	last   map[uint32]oggPage
	faults stream.FaultList
}

// oggPage is the head of a page.
type oggPage struct {
	flags    byte
	granule  int64
	serial   uint32
	sequence uint32
	length   int64 // of the page with its head
}

const (
	oggHead  = 27 // bytes, without the table of segments
	oggFirst = 2  // flags: the first page of a stream
	oggLast  = 4  // and its last
	oggMost  = oggHead + 255 + 255*255
)

// checkOgg names pages that are missing, bytes that are no page, and an end that is
// missing: a last page that is cut off, or one that is not marked as the last.
func checkOgg(src io.ReaderAt, size int64, rate int) []stream.Error {
	w := oggWalk{src: src, size: size, rate: float64(rate), last: map[uint32]oggPage{}}
	at, now := int64(0), 0.0
	var serial uint32
	for at < size {
		p, ok := w.page(at)
		if !ok {
			next := w.search(at + 1)
			w.between(at, next, now)
			at = next
			continue
		}
		if at+p.length > size {
			w.faults.Add(stream.Errorf(stream.Truncated, "the last page of the Ogg stream is cut off").AtOffset(at).AtTime(now))
			return w.faults.List()
		}
		w.follow(p, at, now)
		if p.granule >= 0 && w.rate > 0 {
			now = float64(p.granule) / w.rate
		}
		serial = p.serial
		at += p.length
	}
	if p, ok := w.last[serial]; ok && p.flags&oggLast == 0 {
		w.faults.Add(stream.Errorf(stream.Unsupported, "the Ogg stream has no last page: it may have been longer").AtOffset(size).AtTime(now).Of(stream.NoEnd))
	}
	return w.faults.List()
}

// page reads the head of the page at an offset.
func (w *oggWalk) page(at int64) (p oggPage, ok bool) {
	var b [oggHead + 255]byte
	n, _ := w.src.ReadAt(b[:], at)
	if n < oggHead || string(b[:5]) != "OggS\x00" {
		return p, false
	}
	segments := int(b[26])
	p = oggPage{flags: b[5], granule: int64(binary.LittleEndian.Uint64(b[6:])), serial: binary.LittleEndian.Uint32(b[14:]),
		sequence: binary.LittleEndian.Uint32(b[18:]), length: oggHead + int64(segments)}
	for _, s := range b[oggHead:min(oggHead+segments, n)] {
		p.length += int64(s)
	}
	if n < oggHead+segments {
		p.length = oggMost // cut off in its table
	}
	return p, true
}

// search looks for the next page from an offset on; the file's end when there is none.
func (w *oggWalk) search(at int64) int64 {
	b := make([]byte, 1<<16)
	for at < w.size {
		n, _ := w.src.ReadAt(b, at)
		if i := bytes.Index(b[:n], []byte("OggS\x00")); i >= 0 {
			return at + int64(i)
		}
		if n < len(b) {
			break
		}
		at += int64(n) - 4
	}
	return w.size
}

// between names bytes that are no page. At the end zeros and tags pass, a stream that
// has ended being before them.
func (w *oggWalk) between(from, to int64, now float64) {
	if to == w.size {
		b := make([]byte, min(to-from, 1<<16))
		n, _ := w.src.ReadAt(b, from)
		b = b[:n]
		ended := len(w.last) > 0
		for _, p := range w.last {
			ended = ended && p.flags&oggLast != 0
		}
		if ended && (len(bytes.Trim(b, "\x00")) == 0 || bytes.HasPrefix(b, []byte("TAG")) || bytes.HasPrefix(b, []byte("APETAGEX"))) {
			return
		}
		w.faults.Add(stream.Errorf(stream.Truncated, "the last %d bytes are no Ogg page: the stream stops there", to-from).AtOffset(from).AtTime(now))
		w.last = map[uint32]oggPage{}
		return
	}
	if from == 0 {
		return // an ID3v2 tag in front
	}
	w.faults.Add(stream.Errorf(stream.Damaged, "%d bytes are no Ogg page", to-from).AtOffset(from).AtTime(now))
}

// follow holds a page against the one before of its stream.
func (w *oggWalk) follow(p oggPage, at int64, now float64) {
	before, known := w.last[p.serial]
	if known && p.flags&oggFirst == 0 && p.sequence != before.sequence+1 {
		w.faults.Add(stream.Errorf(stream.Damaged, "pages of the Ogg stream are missing: number %d follows %d", p.sequence, before.sequence).AtOffset(at).AtTime(now))
	}
	w.last[p.serial] = p
}
