package tags

import (
	"bytes"
	"encoding/binary"
	"io"
)

const (
	oggHeader = 27
	// maxOggComment bounds how much of an Ogg comment packet is read through,
	// pictures included.
	maxOggComment = 64 << 20
)

// ogg reads the comment packet, the second of the first audio stream, of Ogg
// Vorbis, Opus (RFC 7845 clause 5.2) or Ogg FLAC.
func (s source) ogg(off int64, f *fields) error {
	p := &oggPackets{s: s, pos: off}
	for range maxItems {
		serial, head, err := p.first()
		if err != nil {
			return err
		}
		prefix := oggCommentPrefix(head)
		if prefix == nil {
			continue // a stream of another kind, or a page of it
		}
		p.serial = serial
		got := make([]byte, len(prefix))
		if _, err := io.ReadFull(p, got); err != nil {
			return p.failed(err)
		}
		if prefix[0] == flacCommentBlock {
			got[0] &^= flacLastBlock
			got[1], got[2], got[3] = 0, 0, 0
		}
		if !bytes.Equal(got, prefix) {
			return damaged(p.pos, "no comment packet in the Ogg stream")
		}
		return vorbisComments(p, maxOggComment, p.pos, f)
	}
	return nil
}

// oggCommentPrefix gives what the comment packet of the stream that begins with
// head begins with; nil when head begins no audio stream.
func oggCommentPrefix(head []byte) []byte {
	switch {
	case bytes.HasPrefix(head, []byte("\x01vorbis")):
		return []byte("\x03vorbis")
	case bytes.HasPrefix(head, []byte("OpusHead")):
		return []byte("OpusTags")
	case bytes.HasPrefix(head, []byte("\x7fFLAC")):
		return []byte{flacCommentBlock, 0, 0, 0}
	}
	return nil
}

// oggPackets reads one packet of one logical stream through its pages. Pages are
// taken without a look at their checksum: tags are better read than refused.
type oggPackets struct {
	s      source
	pos    int64 // next page
	serial uint32

	part, partEnd int64 // what is left of the packet in the current page
	last          bool  // the packet ends in the current page
}

// page reads a page header at p.pos and its lacing values.
func (p *oggPackets) page() (serial uint32, lacing []byte, data int64, err error) {
	h, err := p.s.bytes(p.pos, oggHeader)
	if err != nil {
		return 0, nil, 0, err
	}
	if string(h[:4]) != "OggS" {
		return 0, nil, 0, damaged(p.pos, "no Ogg page")
	}
	lacing, err = p.s.bytes(p.pos+oggHeader, int(h[26]))
	data = p.pos + oggHeader + int64(h[26])
	p.pos = data
	for _, n := range lacing {
		p.pos += int64(n)
	}
	return binary.LittleEndian.Uint32(h[14:]), lacing, data, err
}

// first returns the start of the next page's first packet.
func (p *oggPackets) first() (uint32, []byte, error) {
	serial, lacing, data, err := p.page()
	if err != nil || len(lacing) == 0 {
		return serial, nil, err
	}
	b, err := p.s.bytes(data, min(int(lacing[0]), 16))
	return serial, b, err
}

// Read gives the bytes of the packet that starts on the next page of the stream.
func (p *oggPackets) Read(b []byte) (int, error) {
	for skipped := 0; p.part == p.partEnd; {
		if p.last {
			return 0, io.EOF
		}
		serial, lacing, data, err := p.page()
		if err != nil {
			return 0, err
		}
		if serial != p.serial {
			if skipped++; skipped > maxItems {
				return 0, io.EOF
			}
			continue
		}
		p.part, p.partEnd = data, data
		for _, n := range lacing {
			p.partEnd += int64(n)
			if n < 255 {
				p.last = true
				break
			}
		}
	}
	n := min(int64(len(b)), p.partEnd-p.part)
	got, err := p.s.bytes(p.part, int(n))
	p.part += int64(copy(b, got))
	return len(got), err
}

func (p *oggPackets) failed(err error) error {
	if err == io.EOF || err == io.ErrUnexpectedEOF {
		return damaged(p.pos, "the comment packet of the Ogg stream stops before its end")
	}
	return err
}
