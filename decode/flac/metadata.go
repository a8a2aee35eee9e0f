package flac

import (
	"encoding/binary"

	"dubgauge/decode/stream"
)

// streamInfo is the STREAMINFO block, RFC 9639 section 8.2.
type streamInfo struct {
	minBlock, maxBlock int // samples a channel
	rate               int // Hz
	channels           int
	bits               int
	total              uint64 // samples a channel, 0 when not known
	md5                [16]byte
}

const (
	magicBytes      = 4
	blockHeader     = 4
	streamInfoBytes = 34
	firstBlockEnd   = magicBytes + blockHeader + streamInfoBytes
	typeStreamInfo  = 0
	typeForbidden   = 127
)

// parseStreamInfo reads the head of a file: the magic number and STREAMINFO, which
// must come first.
func parseStreamInfo(b []byte) (i streamInfo, err *stream.Error) {
	if len(b) < firstBlockEnd {
		return i, stream.Errorf(stream.Truncated, "the file ends inside its header").AtOffset(int64(len(b)))
	}
	if kind := b[4] & 0x7f; kind != typeStreamInfo {
		return i, stream.Errorf(stream.Damaged, "the FLAC file lacks STREAMINFO, its first block has type %d", kind).AtOffset(magicBytes)
	}
	b = b[magicBytes+blockHeader:]
	i.minBlock, i.maxBlock = int(binary.BigEndian.Uint16(b)), int(binary.BigEndian.Uint16(b[2:]))
	packed := binary.BigEndian.Uint64(b[10:]) // rate 20 bits, channels-1 3, bits-1 5, total 36
	i.rate = int(packed >> 44)
	i.channels = int(packed>>41&7) + 1
	i.bits = int(packed>>36&31) + 1
	i.total = packed & (1<<36 - 1)
	copy(i.md5[:], b[18:])
	return i, nil
}

// metadataEnd walks the metadata blocks and returns where they say that the frames
// begin, false when they run out of the file. A walk that a wrong length leads
// astray ends somewhere: the caller checks that a frame stands there.
func (s *source) metadataEnd() (int64, bool, error) {
	const maxBlocks = 10_000 // bounds the walk; files in the field have a few dozen at most
	offset := int64(magicBytes)
	for range maxBlocks {
		b, err := s.at(offset, blockHeader)
		if err != nil || len(b) < blockHeader {
			return 0, false, err
		}
		if b[0]&0x7f == typeForbidden {
			return 0, false, nil
		}
		offset += blockHeader + int64(b[1])<<16 + int64(b[2])<<8 + int64(b[3])
		if b[0]&0x80 != 0 {
			return offset, offset < s.size, nil
		}
	}
	return 0, false, nil
}
