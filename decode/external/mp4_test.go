package external

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"testing"
)

// words are numbers of 32 bits.
func words(v ...int) (b []byte) {
	for _, w := range v {
		b = binary.BigEndian.AppendUint32(b, uint32(w))
	}
	return b
}

// movie is an MP4 file without sound whose boxes state a length: of the movie, of the
// media, and by the edits, each a duration and a place, in the versions that are given.
type movie struct {
	version               int // of mvhd, mdhd and elst
	movieScale            int
	mediaScale, mediaLong int
	edits                 [][2]int
	comment               string
	handler               string
}

func (m movie) bytes() []byte {
	version := words(m.version << 24)
	clock := func(scale, long int) []byte {
		if m.version == 1 {
			return join(version, make([]byte, 16), words(scale, long>>32, long))
		}
		return join(version, make([]byte, 8), words(scale, long))
	}
	edits := join(version, words(len(m.edits)))
	for _, e := range m.edits {
		if m.version == 1 {
			edits = join(edits, words(e[0]>>32, e[0], e[1]>>32, e[1], 1<<16))
		} else {
			edits = join(edits, words(e[0], e[1], 1<<16))
		}
	}
	item := mp4Box("----", mp4Box("name", words(0), []byte("iTunSMPB")), mp4Box("data", words(1, 0), []byte(m.comment)))
	track := mp4Box("trak", mp4Box("edts", mp4Box("elst", edits)),
		mp4Box("mdia", mp4Box("mdhd", clock(m.mediaScale, m.mediaLong)), mp4Box("hdlr", words(0, 0), []byte(m.handler), make([]byte, 12))))
	return mp4Box("moov", mp4Box("mvhd", clock(m.movieScale, 0)), track, mp4Box("udta", mp4Box("meta", words(0), mp4Box("ilst", item))))
}

// TestGaplessLengthRules reads lengths by the edit list and the comment, and leaves what
// does not fit.
func TestGaplessLengthRules(t *testing.T) {
	said := func(priming, rest, samples int) string {
		return fmt.Sprintf(" 00000000 %08X %08X %016X", priming, rest, samples)
	}
	const n, priming = 100_000, 1024
	const long = 99 * 1024 // of the media: all but 352 samples of it
	for _, c := range []struct {
		name   string
		change func(m *movie)
		want   int64
	}{
		{"edit list", func(*movie) {}, n},
		{"version 1", func(m *movie) { m.version = 1 }, n},
		{"no edit", func(m *movie) { m.edits = nil }, -1},
		{"a pause and an edit", func(m *movie) { m.edits = [][2]int{{10, -1}, m.edits[0]} }, n},
		{"version 1, a pause and an edit", func(m *movie) { m.version, m.edits = 1, [][2]int{{10, -1}, m.edits[0]} }, n},
		{"two edits", func(m *movie) { m.edits = append(m.edits, m.edits[0]) }, -1},
		{"comment", func(m *movie) { m.edits, m.comment = nil, said(priming, 352, n) }, n},
		{"both", func(m *movie) { m.comment = said(priming, 352, n-1) }, n - 1},
		{"a comment that begins elsewhere", func(m *movie) { m.comment = said(priming+1, 352, n-1) }, n},
		{"a comment that is too long", func(m *movie) { m.edits, m.comment = nil, said(priming, 352, long+1) }, -1},
		{"a comment that is as long as the media", func(m *movie) { m.edits, m.comment = nil, said(0, 0, long) }, long},
		{"a comment that leaves out too much", func(m *movie) { m.edits, m.comment = nil, said(priming, 352, long-mostPadding-1) }, -1},
		{"a comment that leaves out much", func(m *movie) { m.edits, m.comment = nil, said(priming, 352, long-mostPadding) }, long - mostPadding},
		{"half a comment", func(m *movie) { m.edits, m.comment = nil, said(priming, 352, n)[:27] }, -1},
		{"a movie that counts milliseconds", func(m *movie) { m.movieScale, m.edits[0][0] = 1000, 2267 }, 2268 * 44100 / 1000},
		{"a movie that counts milliseconds, to the end of the media", func(m *movie) { m.movieScale, m.edits[0][0] = 1000, 2290 }, long - priming},
		{"a movie without a clock", func(m *movie) { m.movieScale = 0 }, -1},
		{"media without a clock", func(m *movie) { m.mediaScale = 0 }, -1},
		{"an edit of years", func(m *movie) { m.edits[0][0] = 1<<30 + 1 }, -1},
		{"an edit of nothing", func(m *movie) { m.edits[0][0] = 0 }, -1},
		{"a short edit of nothing", func(m *movie) { m.mediaLong, m.edits[0][0] = 2048, 0 }, -1},
		{"a short comment of nothing", func(m *movie) { m.mediaLong, m.edits, m.comment = 2048, nil, said(1024, 1024, 0) }, -1},
		{"a short comment of one sample", func(m *movie) { m.mediaLong, m.edits, m.comment = 2048, nil, said(1024, 1023, 1) }, 1},
		{"no sound", func(m *movie) { m.handler = "vide" }, -1},
	} {
		m := movie{movieScale: 44100, mediaScale: 44100, mediaLong: long, edits: [][2]int{{n, priming}}, handler: "soun"}
		c.change(&m)
		b := m.bytes()
		got := mp4{src: bytes.NewReader(b)}
		got.walk(0, int64(len(b)), 0)
		if l := got.length(); l != c.want {
			t.Errorf("%s: %d, want %d", c.name, l, c.want)
		}
	}
}

// TestADTSWalk names a last frame that is cut off, and stops at what is no frame.
func TestADTSWalk(t *testing.T) {
	frame := func(length int) []byte { // a head that says so, with zeros behind
		return join([]byte{0xFF, 0xF1, 0x50, 0x80 | byte(length>>11), byte(length >> 3), byte(length<<5) | 0x1F, 0xFC}, make([]byte, max(0, length-7)))
	}
	tag := join([]byte("ID3\x04\x00\x00\x00\x01\x02\x03"), make([]byte, 1<<14+2<<7+3))
	for _, c := range []struct {
		name string
		file []byte
		want int64 // offset of the fault, -1 for none
	}{
		{"whole", join(frame(100), frame(8191), frame(7), frame(9)), -1},
		{"cut", join(frame(100), frame(200)[:199]), 100},
		{"cut behind a frame of 7 bytes", join(frame(7), frame(200)[:199]), 7},
		{"a frame shorter than its head, and one that is cut", join(frame(6), frame(200)[:199]), -1},
		{"behind ID3v2", join(tag, frame(100), frame(200)[:199]), int64(len(tag) + 100)},
		{"six bytes of a head", join(frame(100), frame(200)[:6]), 100},
		{"one byte of a head", join(frame(100), []byte{0xFF}), 100},
		{"another byte", join(frame(100), []byte{0x7F}), -1},
		{"junk, and a frame that is cut", join(frame(100), make([]byte, 50), frame(200)[:199]), -1},
		{"nothing", nil, -1},
	} {
		got := checkADTS(bytes.NewReader(c.file), int64(len(c.file)))
		if c.want < 0 && len(got) > 0 || c.want >= 0 && (len(got) != 1 || got[0].Offset != c.want) {
			t.Errorf("%s: %v, want %d", c.name, got, c.want)
		}
	}
}
