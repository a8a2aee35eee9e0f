package tags

import (
	"bytes"
	"compress/zlib"
	"encoding/binary"
	"strings"
	"unicode/utf16"
)

// The builders below make forms that no tool here writes, from the text of the
// standards named in the package comment.

func be32(n int) []byte { return binary.BigEndian.AppendUint32(nil, uint32(n)) }
func le32(n int) []byte { return binary.LittleEndian.AppendUint32(nil, uint32(n)) }

func join(parts ...any) []byte {
	var b []byte
	for _, p := range parts {
		switch v := p.(type) {
		case string:
			b = append(b, v...)
		case []byte:
			b = append(b, v...)
		case int:
			b = append(b, byte(v))
		}
	}
	return b
}

func safe(n int) []byte {
	return []byte{byte(n >> 21 & 127), byte(n >> 14 & 127), byte(n >> 7 & 127), byte(n & 127)}
}

// id3 makes a tag around its body.
func id3(version, flags int, body ...any) []byte {
	b := join(body...)
	return join("ID3", version, 0, flags, safe(len(b)), b)
}

// frame makes a frame of the version.
func frame(version int, id string, flags int, body ...any) []byte {
	b := join(body...)
	switch version {
	case 2:
		return join(id, be32(len(b))[1:], b)
	case 3:
		return join(id, be32(len(b)), 0, flags, b)
	}
	return join(id, safe(len(b)), 0, flags, b)
}

// utf16Bytes encodes with a byte order mark.
func utf16Bytes(s string, order binary.AppendByteOrder) []byte {
	b := order.AppendUint16(nil, 0xFEFF)
	for _, u := range utf16.Encode([]rune(s)) {
		b = order.AppendUint16(b, u)
	}
	return b
}

// unsynchronise puts a zero behind every FF.
func unsynchronise(b []byte) []byte { return bytes.ReplaceAll(b, []byte{0xFF}, []byte{0xFF, 0}) }

func deflate(b []byte) []byte {
	var out bytes.Buffer
	w := zlib.NewWriter(&out)
	w.Write(b)
	w.Close()
	return out.Bytes()
}

// chunk makes a RIFF or AIFF chunk with its pad byte.
func chunk(order binary.AppendByteOrder, id string, body ...any) []byte {
	b := join(body...)
	out := append(order.AppendUint32([]byte(id), uint32(len(b))), b...)
	if len(b)%2 == 1 {
		out = append(out, 0)
	}
	return out
}

func riffFile(magic string, chunks ...any) []byte {
	b := join(chunks...)
	n := le32(len(b) + 4)
	if magic == "RIFX" {
		n = be32(len(b) + 4)
	}
	return join(magic, n, "WAVE", b)
}

func aiffFile(chunks ...any) []byte {
	b := join(chunks...)
	return join("FORM", be32(len(b)+4), "AIFF", b)
}

// comments makes a Vorbis comment header.
func comments(fields ...string) []byte {
	b := join(le32(4), "test", le32(len(fields)))
	for _, f := range fields {
		b = join(b, le32(len(f)), f)
	}
	return b
}

func flacFile(blocks ...any) []byte {
	return join("fLaC", 0, be32(34)[1:], make([]byte, 34), join(blocks...), 0x81, be32(0)[1:])
}

func flacBlock(kind int, body []byte) []byte { return join(kind, be32(len(body))[1:], body) }

// oggPages lays packets on pages of their own, with pages of at most 255 segments.
func oggPages(serial int, packets ...[]byte) []byte {
	var out []byte
	for _, p := range packets {
		for first := true; first || len(p) > 0; first = false {
			n := min(len(p), 254*255)
			var lacing []byte
			for k := n; k >= 255; k -= 255 {
				lacing = append(lacing, 255)
			}
			if n == len(p) {
				lacing = append(lacing, byte(n%255))
			}
			flags := 1
			if first {
				flags = 0
			}
			out = join(out, "OggS", 0, flags, make([]byte, 8), le32(serial), le32(0), le32(0), len(lacing), lacing, p[:n])
			p = p[n:]
		}
	}
	return out
}

func box(name string, body ...any) []byte {
	b := join(body...)
	return join(be32(len(b)+8), name, b)
}

func mp4File(items ...any) []byte {
	meta := box("meta", be32(0), box("hdlr", make([]byte, 24)), box("ilst", items...))
	return join(box("ftyp", "M4A ", be32(0)), box("moov", box("udta", meta)), box("mdat", "audio"))
}

func mp4Item(name string, kind int, value ...any) []byte {
	return box(name, box("data", be32(kind), be32(0), join(value...)))
}

func freeform(name, value string) []byte {
	return box("----", box("mean", be32(0), "com.example"), box("name", be32(0), name), box("data", be32(1), be32(0), value))
}

// ape makes an APEv2 tag with or without header.
func ape(header bool, items ...any) []byte {
	b := join(items...)
	flags := 0
	if header {
		flags = apeHeader
	}
	foot := join(apeMagic, le32(2000), le32(len(b)+apeFooter), le32(len(items)), le32(flags), make([]byte, 8))
	if header {
		return join(foot, b, foot)
	}
	return join(b, foot)
}

func apeItem(name string, flags int, value string) []byte {
	return join(le32(len(value)), le32(flags), name, 0, value)
}

func v1(title, artist, album, year, comment string, track, genre int) []byte {
	field := func(s string, n int) []byte { return join(s, bytes.Repeat([]byte{0}, n))[:n] }
	return join("TAG", field(title, 30), field(artist, 30), field(album, 30), field(year, 4), field(comment, 28), 0, track, genre)
}

// audio stands for what follows a tag; it begins like an MPEG frame.
var audio = join("\xFF\xFB\x90\x00", strings.Repeat("\x55", 400))
