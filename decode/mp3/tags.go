package mp3

import (
	"bytes"
	"strconv"
)

// Lengths in bytes of the tags that may stand around the audio.
const (
	id3v2Header    = 10
	id3v1Length    = 128
	id3v1Extended  = 227 // "TAG+", in front of an ID3v1
	apeHeader      = 32
	lyricsSizeLen  = 6
	lyrics1Longest = 5100
)

// id3v2Length returns the length of the ID3v2 tag that starts with head, 0 when
// there is none. The format takes care that no byte of a true size is above 127.
func id3v2Length(head []byte) int64 {
	if len(head) < id3v2Header || string(head[:3]) != "ID3" || head[3] == 0xFF || head[4] == 0xFF {
		return 0
	}
	n := int64(0)
	for _, b := range head[6:10] {
		if b > 127 {
			return 0
		}
		n = n<<7 | int64(b)
	}
	n += id3v2Header
	if head[5]&0x10 != 0 { // a footer
		n += id3v2Header
	}
	return n
}

// startsTag tells whether b, four bytes or more, can start a tag: files that were
// joined have them between two frames.
func startsTag(b []byte) bool {
	return string(b[:3]) == "ID3" || string(b[:3]) == "TAG" || string(b[:4]) == "APET"
}

// skipTags moves in past ID3v2, APE and ID3v1 tags that start at its place. A
// tag that claims to be longer than the file is stepped into, so that what lies
// behind its true end is found by its sync words.
func skipTags(in *input) {
	for {
		n := id3v2Length(in.peek(id3v2Header))
		head := in.peek(apeHeader)
		switch {
		case len(head) == apeHeader && string(head[:8]) == "APETAGEX":
			n = int64(le32(head[12:])) + apeHeader
		case len(head) == apeHeader && string(head[:3]) == "TAG":
			n = id3v1Length
		}
		switch {
		case n == 0:
			return
		case n >= in.left():
			in.skip(id3v2Header)
			return
		}
		in.skip(n)
	}
}

// cutTrailer moves the end of in to before the ID3v1, APE, Lyrics3 and appended
// ID3v2 tags at the end of the file.
func cutTrailer(in *input) {
	for {
		n := trailerLength(in)
		if n == 0 || n > in.left() {
			return
		}
		in.end -= n
	}
}

// trailerLength returns the length of the last tag, 0 when there is none.
func trailerLength(in *input) int64 {
	if b := in.at(in.end-id3v1Length, 3); string(b) == "TAG" {
		if b := in.at(in.end-id3v1Length-id3v1Extended, 4); string(b) == "TAG+" {
			return id3v1Length + id3v1Extended
		}
		return id3v1Length
	}
	if b := in.at(in.end-apeHeader, apeHeader); b != nil && string(b[:8]) == "APETAGEX" {
		n := int64(le32(b[12:])) // with the footer, without the header
		if b[23]&0x80 != 0 {
			n += apeHeader
		}
		return max(n, apeHeader)
	}
	// A footer is the header of an ID3v2.4 tag with its letters turned round (ID3v2.4.0
	// structure, section 3.4); the tag has both.
	if b := in.at(in.end-id3v2Header, id3v2Header); b != nil && string(b[:3]) == "3DI" {
		return id3v2Length(append([]byte("ID3"), b[3:]...))
	}
	return lyricsLength(in)
}

// lyricsLength is trailerLength for Lyrics3, version 2 and 1.
func lyricsLength(in *input) int64 {
	const mark = "LYRICS200"
	n := int64(lyricsSizeLen + len(mark))
	b := in.at(in.end-n, int(n))
	if b != nil && string(b[lyricsSizeLen:]) == mark {
		size, err := strconv.ParseUint(string(b[:lyricsSizeLen]), 10, 32)
		if err != nil {
			return 0
		}
		return int64(size) + n
	}
	if b == nil || string(b[lyricsSizeLen:]) != "LYRICSEND" {
		return 0
	}
	from := max(in.end-lyrics1Longest-int64(len("LYRICSBEGIN")+len("LYRICSEND")), 0)
	text := in.at(from, int(in.end-from))
	if i := bytes.LastIndex(text, []byte("LYRICSBEGIN")); i >= 0 {
		return in.end - from - int64(i)
	}
	return 0
}

func le32(b []byte) uint32 {
	return uint32(b[0]) | uint32(b[1])<<8 | uint32(b[2])<<16 | uint32(b[3])<<24
}
