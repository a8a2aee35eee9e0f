package tags

import (
	"io"
)

const (
	flacCommentBlock = 4    // VORBIS_COMMENT, RFC 9639 clause 8.6
	flacLastBlock    = 0x80 // flag in the block's type
	flacInvalidType  = 127
)

// flac reads the Vorbis comments of the FLAC stream at off (RFC 9639 clause 8).
func (s source) flac(off int64, f *fields) error {
	pos := off + 4
	for range maxItems {
		h, err := s.bytes(pos, 4)
		if err != nil {
			return err
		}
		n := int64(h[1])<<16 | int64(h[2])<<8 | int64(h[3])
		kind := h[0] &^ flacLastBlock
		if kind == flacInvalidType {
			return damaged(pos, "no FLAC metadata block")
		}
		if kind == flacCommentBlock {
			size := min(n, s.size-pos-4)
			if err := vorbisComments(io.NewSectionReader(s.r, pos+4, size), size, pos+4, f); err != nil {
				return err
			}
		}
		if h[0]&flacLastBlock != 0 {
			return nil
		}
		pos += 4 + n
	}
	return nil
}
