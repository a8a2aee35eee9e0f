package tags

import (
	"encoding/binary"
	"reflect"
	"strings"
	"testing"
)

func number(v float64) *float64 { return &v }

// equal compares all but Sources.
func equal(a, b Tags) bool {
	if (a.BPM == nil) != (b.BPM == nil) || a.BPM != nil && *a.BPM != *b.BPM {
		return false
	}
	a.BPM, b.BPM = nil, nil
	a.Sources, b.Sources = nil, nil
	return reflect.DeepEqual(a, b)
}

var (
	little = binary.LittleEndian
	big    = binary.BigEndian
)

// form is a file built by hand.
type form struct {
	name string
	file []byte
	want Tags
}

var forms = []form{
	{"ID3v2.2", join(id3(2, 0, frame(2, "TT2", 0, 0, "Title"), frame(2, "TP1", 0, 0, "Artist"), frame(2, "TPB", 0, 0, "Label"),
		frame(2, "TRC", 0, 0, "GB-XYZ-24-00001"), frame(2, "TBP", 0, 0, "128,00"), frame(2, "TKE", 0, 0, "Dm"),
		frame(2, "PIC", 0, strings.Repeat("x", 20000)), frame(2, "TYE", 0, 0, "1999"), frame(2, "TCO", 0, 0, "(31)(4)"),
		frame(2, "COM", 0, 0, "eng", "d\x00not this"), frame(2, "COM", 0, 0, "eng", "\x00this"), frame(2, "TXX", 0, 0, "Catalog #\x00AB 1")), audio),
		Tags{Title: "Title", Artist: "Artist", Label: "Label", ISRC: "GBXYZ2400001", BPM: number(128), Key: "Dm", Year: 1999,
			Genre: "Trance; Disco", Comment: "this", CatalogueNumber: "AB 1"}},
	{"ID3v2.2 unsynchronised", join(id3(2, 0x80, unsynchronise(join(frame(2, "TT2", 0, 1, utf16Bytes("Tíÿÿle", little)), frame(2, "TP1", 0, 0, "Artist")))), audio),
		Tags{Title: "Tíÿÿle", Artist: "Artist"}},
	{"ID3v2.3 unsynchronised", join(id3(3, 0x80, unsynchronise(join(frame(3, "TIT2", 0, 1, utf16Bytes("Title", little)),
		frame(3, "APIC", 0, strings.Repeat("\xFF\xE0", 9000)), frame(3, "TPE1", 0, 0, "\xFFrtist")))), audio),
		Tags{Title: "Title", Artist: "ÿrtist"}},
	{"ID3v2.3 extended header", join(id3(3, 0x40, be32(6), 0, 0, be32(0), frame(3, "TIT2", 0, 0, "Title")), audio), Tags{Title: "Title"}},
	{"ID3v2.3 extended header with CRC", join(id3(3, 0x40, be32(10), 0x80, 0, be32(0), be32(77), frame(3, "TIT2", 0, 0, "Title")), audio), Tags{Title: "Title"}},
	{"ID3v2.4 extended header", join(id3(4, 0x40, safe(6), 1, 0, frame(4, "TIT2", 0, 3, "Title")), audio), Tags{Title: "Title"}},
	{"ID3v2.3 compressed frame", join(id3(3, 0, frame(3, "TIT2", 0x80, be32(6), deflate([]byte("\x00Title"))), frame(3, "TPE1", 0x20, 7, 0, "Artist")), audio),
		Tags{Title: "Title", Artist: "Artist"}},
	{"ID3v2.4 frame flags", join(id3(4, 0, frame(4, "TIT2", 0x09, safe(6), deflate([]byte("\x00Title"))), frame(4, "TPE1", 0x43, 9, safe(9), 0, "A\xFF\x00rtist"),
		frame(4, "TALB", 0x04, 1, 0, "secret")), audio), Tags{Title: "Title", Artist: "Aÿrtist"}},
	{"ID3v2.4 unsynchronised as a whole", join(id3(4, 0x80, frame(4, "TIT2", 2, unsynchronise(join(1, utf16Bytes("Title", little))))), audio), Tags{Title: "Title"}},
	{"ID3v2.4 multiple values", join(id3(4, 0, frame(4, "TPE1", 0, 3, "One\x00Two\x00\x00"), frame(4, "TCON", 0, 3, "17\x00Own"),
		frame(4, "TSRC", 0, 0, "none\x00us-abc-24-00002"), frame(4, "TDRC", 0, 0, "2021-03")), audio),
		Tags{Artist: "One, Two", Genre: "Rock; Own", ISRC: "USABC2400002", Year: 2021}},
	{"ID3v2.4 sizes that are not syncsafe", join(id3(4, 0, join("TIT2", be32(201), 0, 0, 0, strings.Repeat("ab", 100)), frame(4, "TPE1", 0, 0, "Artist"), make([]byte, 300)), audio),
		Tags{Title: strings.Repeat("ab", 100), Artist: "Artist"}},
	{"ID3v2.2 frames in a 2.3 tag", join(id3(3, 0, join("TT2\x00", be32(6), 0, 0, 0, "Title"), join("TP1 ", be32(7), 0, 0, 0, "Artist")), audio), Tags{Title: "Title", Artist: "Artist"}},
	{"UTF-16 of odd length", join(id3(3, 0, frame(3, "TIT2", 0, 1, utf16Bytes("Title", big), 0), frame(3, "TPE1", 0, 1, utf16Bytes("Artist", little), 0)), audio),
		Tags{Title: "Title", Artist: "Artist"}},
	{"UTF-16 without a mark", join(id3(3, 0, frame(3, "TIT2", 0, 1, "T\x00i\x00"), frame(3, "TPE1", 0, 1, "\x00A\x00r"), frame(3, "TALB", 0, 2, "\x00A\x00l")), audio),
		Tags{Title: "Ti", Artist: "Ar", Album: "Al"}},
	{"UTF-16, a mark a value", join(id3(4, 0, frame(4, "TPE1", 0, 1, utf16Bytes("One", little), 0, 0, utf16Bytes("Two", big), 0, 0, "\x00x")), audio),
		Tags{Artist: "One, Two, x"}},
	{"encoding byte missing", join(id3(3, 0, frame(3, "TIT2", 0, "Title")), audio), Tags{Title: "Title"}},
	{"Windows-1252 and UTF-8 where Latin-1 is declared", join(id3(3, 0, frame(3, "TIT2", 0, 0, "\x93Title\x94"), frame(3, "TPE1", 0, 0, "Bj\xc3\xb6rn")), audio),
		Tags{Title: "\u201CTitle\u201D", Artist: "Björn"}},
	{"two tags in front", join(id3(4, 0, frame(4, "TIT2", 0, 3, "First")), id3(3, 0, frame(3, "TIT2", 0, 0, "Second"), frame(3, "TPE1", 0, 0, "Artist")), audio),
		Tags{Title: "First", Artist: "Artist"}},
	{"footer", join(id3(4, 0x10, frame(4, "TIT2", 0, 3, "Title")), "3DI", 4, 0, 0x10, safe(16), audio), Tags{Title: "Title"}},
	{"tag at the end by its footer", join(audio, id3(4, 0x10, frame(4, "TIT2", 0, 3, "Title")), "3DI", 4, 0, 0x10, safe(16), v1("Ti", "Ar", "", "", "", 0, 255)),
		Tags{Title: "Title", Artist: "Ar"}},
	{"padding", join(id3(3, 0, frame(3, "TIT2", 0, 0, "Title"), make([]byte, 2048)), audio), Tags{Title: "Title"}},
	{"ID3v1.1", join(audio, v1("Title", "Artist", "Album", "2001", "Comment", 7, 35)),
		Tags{Title: "Title", Artist: "Artist", Album: "Album", Year: 2001, Comment: "Comment", Genre: "House"}},
	{"APEv2 without header before ID3v1", join(audio, ape(false, apeItem("Title", 0, "Title"), apeItem("Cover Art (Front)", 2, "x.png\x00PNG"), apeItem("ARTIST", 0, "A\x00B")),
		v1("Wrong", "", "", "1987", "", 0, 255)), Tags{Title: "Title", Artist: "A, B", Year: 1987}},
	{"APEv2 in front", join(ape(true, apeItem("Title", 0, "Title")), audio), Tags{Title: "Title"}},
	{"ID3v2 before APEv2", join(id3(3, 0, frame(3, "TIT2", 0, 0, "Title")), audio, ape(true, apeItem("Title", 0, "Wrong"), apeItem("BPM", 0, "174"))),
		Tags{Title: "Title", BPM: number(174)}},
	{"FLAC, picture before the comment", flacFile(flacBlock(6, make([]byte, 30000)), flacBlock(4, comments("title=Title", "ARTIST=A", "artist=B", "tracknumber=1", "no sign"))),
		Tags{Title: "Title", Artist: "A, B"}},
	{"FLAC behind two ID3 tags", join(id3(3, 0, frame(3, "TIT2", 0, 0, "Wrong"), frame(3, "TBPM", 0, 0, "90")), id3(4, 0), flacFile(flacBlock(4, comments("TITLE=Title")))),
		Tags{Title: "Title", BPM: number(90)}},
	{"Ogg Vorbis over several pages", oggPages(7, join("\x01vorbis", make([]byte, 23)), join("\x03vorbis", comments("METADATA_BLOCK_PICTURE="+strings.Repeat("A", 150000), "TITLE=Title"), 1)),
		Tags{Title: "Title"}},
	{"Opus beside another stream", join(oggPages(9, join("\x80theora", make([]byte, 40))), oggPages(7, join("OpusHead", make([]byte, 11))), oggPages(9, []byte("noise")), oggPages(7, join("OpusTags", comments("TITLE=Title")))),
		Tags{Title: "Title"}},
	{"Ogg FLAC", oggPages(7, join("\x7fFLAC", 1, 0, make([]byte, 45)), join(0x84, 0, 0, 40, comments("TITLE=Title"))), Tags{Title: "Title"}},
	{"MP4", mp4File(mp4Item("\xa9nam", 1, "Title"), mp4Item("tmpo", 21, 0, 128), mp4Item("gnre", 0, 0, 36), mp4Item("covr", 14, make([]byte, 50000)),
		mp4Item("\xa9day", 1, "2020-01-01T00:00:00Z"), freeform("BPM", "127.50"), freeform("LABEL", "Label"), freeform("initialkey", "Gm"), mp4Item("\xa9ART", 2, "\x00A")),
		Tags{Title: "Title", BPM: number(127.5), Genre: "House", Year: 2020, Label: "Label", Key: "Gm", Artist: "A"}},
	{"MP4 tempo 0", mp4File(mp4Item("tmpo", 21, 0, 0)), Tags{}},
	{"MP4 tempo of one byte", mp4File(mp4Item("tmpo", 0, 126)), Tags{BPM: number(126)}},
	{"WAV, ID3 before INFO", riffFile("RIFF", chunk(little, "LIST", "INFO", chunk(little, "INAM", "Wrong\x00"), chunk(little, "IART", "Artist")), chunk(little, "data", "aud"),
		chunk(little, "id3 ", id3(3, 0, frame(3, "TIT2", 0, 0, "Title")))), Tags{Title: "Title", Artist: "Artist"}},
	{"WAV without pad bytes", join("RIFF", le32(100), "WAVE", "data", le32(3), "aud", "LIST", le32(17), "INFO", "INAM", le32(5), "Title", chunk(little, "ID3 ", id3(3, 0, frame(3, "TPE1", 0, 0, "Artist")))),
		Tags{Title: "Title", Artist: "Artist"}},
	{"RIFX", riffFile("RIFX", chunk(big, "LIST", "INFO", chunk(big, "INAM", "Title"))), Tags{Title: "Title"}},
	{"RF64", riffFile("RF64", chunk(little, "ds64", make([]byte, 8), le32(4), le32(0), make([]byte, 12)), join("data", le32(-1), "audi"), chunk(little, "LIST", "INFO", chunk(little, "INAM", "Title"))),
		Tags{Title: "Title"}},
	{"WAV, source is no recording code", riffFile("RIFF", chunk(little, "LIST", "INFO", chunk(little, "ISRC", "Dorn Pell"))), Tags{}},
	{"bext", riffFile("RIFF", chunk(little, "bext", "Flat transfer", make([]byte, 307), "2019-08-07", make([]byte, 272))), Tags{Comment: "Flat transfer", Year: 2019}},
	{"ID3 in front of a WAV", join(id3(3, 0, frame(3, "TPE1", 0, 0, "Artist")), riffFile("RIFF", chunk(little, "LIST", "INFO", chunk(little, "INAM", "Title")))), Tags{Title: "Title", Artist: "Artist"}},
	{"AIFF, ID3 before text", aiffFile(chunk(big, "NAME", "Wrong"), chunk(big, "AUTH", "Artist"), chunk(big, "ANNO", "Note"), chunk(big, "ID3 ", id3(3, 0, frame(3, "TIT2", 0, 0, "Title")))),
		Tags{Title: "Title", Artist: "Artist", Comment: "Note"}},
	{"ID3v2 with a frame in small letters", join(id3(3, 0, frame(3, "TIT2", 0, 0, "Title"), frame(3, "ncon", 0, "xyz"), frame(3, "TPE1", 0, 0, "Artist")), audio),
		Tags{Title: "Title", Artist: "Artist"}},
	{"WAV, keywords are no key", riffFile("RIFF", chunk(little, "LIST", "INFO", chunk(little, "IKEY", "loop; drums"), chunk(little, "INAM", "Title"))), Tags{Title: "Title"}},
	{"WAV, ID3 behind data of size 0", join(riffFile("RIFF", join("data", le32(0), strings.Repeat("audi", 50))), chunk(little, "LIST", "INFO", chunk(little, "INAM", "Title")), chunk(little, "id3 ", id3(3, 0, frame(3, "TPE1", 0, 0, "Artist")))),
		Tags{Title: "Title", Artist: "Artist"}},
	{"WAV, ID3 behind data of the highest size", join(riffFile("RIFF", join("data", le32(-1), strings.Repeat("audi", 50))), chunk(little, "id3 ", id3(3, 0, frame(3, "TPE1", 0, 0, "Artist")))),
		Tags{Artist: "Artist"}},
	{"WAV, the word LIST in streamed sound", riffFile("RIFF", join("data", le32(-1), strings.Repeat("audi", 50), "LIST", le32(8), "INFOabcd", "more sound")), Tags{}},
	{"WAV, no sound and tags", riffFile("RIFF", chunk(little, "data"), chunk(little, "fact", le32(0)), chunk(little, "LIST", "INFO", chunk(little, "INAM", "Title"))), Tags{Title: "Title"}},
	{"ASF, numbers", asfFile(asfItem("WM/BeatsPerMinute", 3, le32(128)), asfItem("WM/Year", 0, utf16Bytes("2020", little)[2:]), asfItem("WM/Publisher", 1, "xx")),
		Tags{BPM: number(128), Year: 2020}},
	{"ASF, short and long numbers", asfFile(asfItem("BPM", 5, 126, 0), asfItem("WM/Year", 4, le32(2019), le32(0))), Tags{BPM: number(126), Year: 2019}},
	{"ASF, a number of the wrong length", asfFile(asfItem("BPM", 3, 126, 0)), Tags{}},
	{"nothing", audio, Tags{}},
	{"less than nothing", []byte("ID3"), Tags{}},
}

func TestFormsBuiltByHand(t *testing.T) {
	for _, tt := range forms {
		t.Run(tt.name, func(t *testing.T) {
			got, err := readBytes(tt.file)
			if err != nil {
				t.Error(err)
			}
			if !equal(got, tt.want) {
				t.Errorf("got  %q\nwant %q", got.row(), tt.want.row())
			}
		})
	}
}
