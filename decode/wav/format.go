package wav

import (
	"bytes"
	"encoding/binary"
	"fmt"

	"dubgauge/decode/pcm"
	"dubgauge/decode/stream"
)

// Format tags of WAVEFORMATEX (mmreg.h) that are read here.
const (
	tagPCM        = 0x0001
	tagFloat      = 0x0003
	tagALaw       = 0x0006
	tagMuLaw      = 0x0007
	tagExtensible = 0xfffe
)

// compressed names the tags of codings that are not read here.
var compressed = map[uint16]string{
	0x0002: "Microsoft ADPCM", 0x0010: "OKI ADPCM", 0x0011: "IMA ADPCM", 0x0016: "ITU G.723 ADPCM", 0x0031: "GSM 6.10", 0x0040: "ITU G.721 ADPCM",
	0x0045: "ITU G.726 ADPCM", 0x0050: "MPEG audio layer I or II", TagMP3: "MP3", 0x0092: "Dolby AC-3 over S/PDIF", 0x00ff: "AAC",
	0x0160: "Windows Media Audio 1", 0x0161: "Windows Media Audio 2", 0x0162: "Windows Media Audio Professional",
	0x0163: "Windows Media Audio Lossless", 0x0270: "ATRAC3", 0x1600: "ADTS AAC", 0x1610: "HE-AAC", 0x2000: "Dolby AC-3",
	0x2001: "DTS", 0x674f: "Ogg Vorbis", 0x6750: "Ogg Vorbis", 0x6751: "Ogg Vorbis", 0x676f: "Ogg Vorbis", 0x6770: "Ogg Vorbis",
	0x6771: "Ogg Vorbis", 0x704f: "Opus", 0xf1ac: "FLAC",
}

// header is what the fmt chunk says.
type header struct {
	tag      uint16
	channels int
	rate     uint32
	perSec   uint32 // bytes a second
	align    int    // bytes a frame
	bits     int    // of the container
	valid    int    // of them that carry sound, 0 when not said
	mask     uint32
	offset   int64 // of the chunk's body, for errors
}

const (
	minFormat        = 14 // WAVEFORMAT without the bit depth, as old A-law files have it
	extensibleFormat = 40 // WAVEFORMATEXTENSIBLE
)

// mediaSubtype is what follows the tag in the sub-format GUIDs of ks.h and of
// ambisonic files.
var (
	mediaSubtype     = []byte{0, 0, 0, 0, 0x10, 0, 0x80, 0, 0, 0xaa, 0, 0x38, 0x9b, 0x71}
	ambisonicSubtype = []byte{0, 0, 0x21, 7, 0xd3, 0x11, 0x86, 0x44, 0xc8, 0xc1, 0xca, 0, 0, 0}
)

// parseFormat reads the body of a fmt chunk at its place.
func (f *file) parseFormat(c chunk) (header, error) {
	h := header{offset: c.body}
	b, err := f.read(c.body, int(min(c.avail, extensibleFormat)))
	if err != nil {
		return h, err
	}
	if len(b) < minFormat {
		return h, stream.Errorf(stream.Damaged, "a fmt chunk of %d bytes, at least %d expected", len(b), minFormat).AtOffset(c.body)
	}
	h.tag = f.order.Uint16(b)
	h.channels = int(f.order.Uint16(b[2:]))
	h.rate, h.perSec = f.order.Uint32(b[4:]), f.order.Uint32(b[8:])
	h.align = int(f.order.Uint16(b[12:]))
	if len(b) >= 16 {
		h.bits = int(f.order.Uint16(b[14:]))
	}
	if h.tag == tagExtensible {
		return h, f.parseExtensible(&h, b)
	}
	return h, nil
}

// parseExtensible takes the true tag out of the sub-format, whose first field is
// in the file's byte order.
func (f *file) parseExtensible(h *header, b []byte) error {
	if len(b) < extensibleFormat {
		return stream.Errorf(stream.Damaged, "an extensible fmt chunk of %d bytes, %d expected", len(b), extensibleFormat).AtOffset(h.offset)
	}
	h.valid = int(f.order.Uint16(b[18:]))
	h.mask = f.order.Uint32(b[20:])
	h.tag = f.order.Uint16(b[24:])
	if f.order == binary.BigEndian {
		h.tag = bigEndianTag(b[24:])
	}
	if rest := b[26:40]; !bytes.Equal(rest, mediaSubtype) && !bytes.Equal(rest, ambisonicSubtype) && !bigEndianSubtype(rest) {
		return stream.Errorf(stream.Unsupported, "a WAV sub-format %x that is not known", b[24:40]).AtOffset(h.offset + 24)
	}
	return nil
}

// bigEndianTag reads the format tag out of the sub-format of a RIFX file. Writers have
// put down its first field as 32 bits, as 16 bits with zeros behind, and the whole GUID
// as RIFF files have it.
func bigEndianTag(b []byte) uint16 {
	if b[0] == 0 && b[1] == 0 {
		return binary.BigEndian.Uint16(b[2:])
	}
	if b[0] != 0 && b[1] == 0 {
		return binary.LittleEndian.Uint16(b)
	}
	return binary.BigEndian.Uint16(b)
}

// bigEndianSubtype is the GUID as RIFX files write it, its fields swapped.
func bigEndianSubtype(rest []byte) bool {
	return bytes.Equal(rest[6:], mediaSubtype[6:]) && bytes.Equal(rest[2:6], []byte{0, 0, 0, 0x10})
}

// Coded is the error for a WAV file that holds a coding which is not read here. The
// coded data are Length bytes from byte Offset of the file on.
type Coded struct {
	Reason         *stream.Error
	Tag            uint16 // of the format, as in mmreg.h
	Offset, Length int64
}

func (c *Coded) Error() string { return c.Reason.Error() }

// Unwrap gives the error as every decoder has it.
func (c *Coded) Unwrap() error { return c.Reason }

// TagMP3 is the Tag of MPEG-1 layer III.
const TagMP3 = 0x0055

// sample describes a sample, or says why it is not read.
func (h header) sample(bigEndian bool) (pcm.Format, error) {
	if h.channels < 1 {
		return pcm.Format{}, stream.Errorf(stream.Damaged, "the header says %d channels", h.channels).AtOffset(h.offset)
	}
	p := pcm.Format{Bits: h.bits, BigEndian: bigEndian}
	switch h.tag {
	case tagPCM:
	case tagFloat:
		p.Encoding = pcm.Float
	case tagALaw:
		p.Encoding, p.Bits = pcm.ALaw, 8
	case tagMuLaw:
		p.Encoding, p.Bits = pcm.MuLaw, 8
	default:
		return p, &Coded{stream.Errorf(stream.Unsupported, "%s in a WAV file", tagName(h.tag)).AtOffset(h.offset), h.tag, 0, 0}
	}
	p.Bytes = h.container(p.Bits)
	if h.tag == tagPCM && p.Bytes == 1 {
		p.Encoding = pcm.Unsigned
	}
	if h.valid > 0 && h.valid < p.Bits && h.tag == tagPCM {
		p.Bits = h.valid
	}
	if err := p.Check(); err != nil {
		return p, err.AtOffset(h.offset)
	}
	return p, nil
}

// container is the number of bytes of a sample: the frame's size shared among the
// channels if that can hold the bits, else as many bytes as the bits need.
func (h header) container(bits int) int {
	need := (bits + 7) / 8
	if each := h.align / h.channels; h.align%h.channels == 0 && each >= need && each <= 8 {
		return each
	}
	return need
}

// contradiction says where the fields of h do not fit each other or p, "" when they
// do. Fields that are not filled in say nothing.
func (h header) contradiction(p pcm.Format) string {
	frame := p.Bytes * h.channels
	switch {
	case h.align != 0 && h.align != frame:
		return fmt.Sprintf("%d channels of %d bits do not make frames of %d bytes", h.channels, p.Bits, h.align)
	case h.perSec != 0 && uint64(h.perSec) != uint64(h.rate)*uint64(frame):
		return fmt.Sprintf("%d Hz and frames of %d bytes do not make %d bytes a second", h.rate, frame, h.perSec)
	case h.valid > h.bits:
		return fmt.Sprintf("%d bits of %d carry sound", h.valid, h.bits)
	case h.tag == tagPCM && p.Bytes < 4 && (h.bits+7)/8 < p.Bytes: // only 24 in 32 is customary
		return fmt.Sprintf("samples of %d bits in %d bytes", h.bits, p.Bytes)
	}
	return ""
}

func tagName(tag uint16) string {
	if name, ok := compressed[tag]; ok {
		return name
	}
	return fmt.Sprintf("coding %#04x", tag)
}
