package mp3

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"io"
	"math/rand/v2"
	"strings"
	"testing"

	"dubgauge/decode/stream"
)

// footed is an ID3v2.4 tag with a footer, as it is appended to a file.
func footed(n int) []byte {
	b := id3(rand.New(rand.NewPCG(1, 1)), n, n)
	b[3], b[5] = 4, 0x10
	return join(b, []byte("3DI"), b[3:10])
}

// id3Frame is an ID3v2.3 tag with one private frame of n zeros, that states a size.
func id3Frame(stated, n int) []byte {
	h := []byte{'I', 'D', '3', 3, 0, 0, byte(stated >> 21 & 127), byte(stated >> 14 & 127), byte(stated >> 7 & 127), byte(stated & 127)}
	h = binary.BigEndian.AppendUint32(append(h, "PRIV"...), uint32(n))
	return append(append(h, 0, 0), bytes.Repeat([]byte{'x'}, n)...)
}

// apeTag is an APEv2 tag with n bytes of items that look like frames, and a footer.
func apeTag(n int, header bool) []byte {
	end := func(flags uint32) []byte {
		b := binary.LittleEndian.AppendUint32([]byte("APETAGEX"), 2000)
		b = binary.LittleEndian.AppendUint32(b, uint32(n+apeHeader))
		b = binary.LittleEndian.AppendUint32(b, 1)
		return append(binary.LittleEndian.AppendUint32(b, flags), make([]byte, 8)...)
	}
	items := bytes.Repeat([]byte{0xFF, 0xFB, 0x90, 0x64}, n/4)
	if !header {
		return join(items, end(0))
	}
	return join(end(0xA0000000), items, end(0x80000000))
}

// lyrics is a Lyrics3 tag of version 2 with n bytes, as its size counts them.
func lyrics(n int) []byte {
	return fmt.Appendf(nil, "LYRICSBEGIN%s%06dLYRICS200", bytes.Repeat([]byte{'x'}, n-len("LYRICSBEGIN")), n)
}

// id3Frame4 is the same in ID3v2.4, whose frames have sizes of seven bits a byte.
func id3Frame4(stated, n int) []byte {
	b := id3Frame(stated, n)
	b[3] = 4
	copy(b[14:], []byte{byte(n >> 21 & 127), byte(n >> 14 & 127), byte(n >> 7 & 127), byte(n & 127)})
	return b
}

// vbri is a VBRI frame of 128 kbit/s at 44.1 kHz without a CRC, for so many frames.
func vbri(frames, size int) []byte {
	b := make([]byte, 417)
	copy(b, "\xFF\xFB\x90\x00")
	v := append(b[:vbriPlace], "VBRI\x00\x01\x00\x00\x00\x4b"...)
	v = binary.BigEndian.AppendUint32(v, uint32(size+len(b)))
	binary.BigEndian.AppendUint32(v, uint32(frames))
	return b
}

// What stands around and between the frames of files in the field, and what looks
// like it and is damage.
func TestAroundTheFrames(t *testing.T) {
	wav := wavFile(t, "master", 2*44100, 44100, 2)
	plain := readFile(t, encode(t, wav, "-b", "128", "-t")) // no Xing frame
	withCRC := readFile(t, encode(t, wav, "-b", "128", "-t", "-p"))
	info := readFile(t, encode(t, wav, "-b", "128"))
	frames := len(plain) / 418
	half := 418 * (frames / 2)
	for f := (framer{in: newInput(section(plain))}); ; { // a frame's place about the middle
		fr, ok := f.next(0)
		if !ok || fr.offset >= int64(half) {
			half = int(fr.offset)
			break
		}
	}
	r := rand.New(rand.NewPCG(2, 2))
	v1 := append([]byte("TAG"), make([]byte, 125)...)
	stop := (len(plain) - 100) / sector * sector
	// Of frames of 418 bytes but for one in 49 the end is a cluster's 20480 bytes in.
	const clusterEnd = 20480
	const healthy = stream.Kind(0)
	for _, c := range []struct {
		name   string
		file   []byte
		kind   stream.Kind // of the only fault, healthy for none
		detail string
		same   []byte // decodes to the same, nil: as plain
	}{
		{"ID3v2 with a footer at the end", join(plain, footed(3000)), healthy, "", nil},
		{"the same in front of ID3v1", join(plain, footed(3000), v1), healthy, "", nil},
		{"junk at the end", join(plain, randomBytes(r, 3000)), stream.Damaged, "bytes at the end are not audio", nil},
		{"zeros at the end", join(plain, make([]byte, 4096)), healthy, "", nil},
		{"zeros and ID3v1", join(plain, make([]byte, 4096), v1), healthy, "", nil},
		{"zeros and junk", join(plain, make([]byte, 4096), []byte{1}), stream.Damaged, "bytes at the end are not audio", nil},
		{"zeros from a sector's edge on", join(plain[:stop], make([]byte, 9000)), stream.Truncated, "the copy stopped there", plain[:stop]},
		{"zeros from a cluster's edge on, at a frame's end", join(plain[:clusterEnd], make([]byte, 9000)), stream.Truncated, "the copy stopped there", plain[:clusterEnd]},
		{"a VBRI frame without CRC, frames with", join(vbri(frames, len(withCRC)), withCRC), healthy, "", withCRC},
		{"an ID3v2 tag between two frames", join(plain[:half], id3(r, 500, 500), plain[half:]), healthy, "", nil},
		{"an ID3v1 tag between two frames", join(plain[:half], v1, plain[half:]), healthy, "", nil},
		{"junk between two frames", join(plain[:half], randomBytes(r, 20), plain[half:]), stream.Damaged, "", nil},
		{"ID3v2 with too small a size", join(id3Frame(700, 3000), plain), stream.Unsupported, "declares a length", nil},
		{"ID3v2 of random content with too small a size before an Info frame", join(id3(r, 700, 3000), info), stream.Unsupported, "declares a length", info},
		{"ID3v2 with too large a size", join(id3Frame(9000, 3000), plain), stream.Unsupported, "declares a length", nil},
		{"ID3v2 larger than the file", join(id3Frame(1<<27, 3000), plain), stream.Unsupported, "declares a length", nil},
		{"ID3v2.4 with too small a size", join(id3Frame4(50, 100), plain), stream.Unsupported, "declares a length", nil},
		{"ID3v2.4 with too small a size, large", join(id3Frame4(9000, 20_000), plain), stream.Unsupported, "declares a length", nil},
		{"ID3v2.4 and junk behind it", join(id3Frame4(110, 100), randomBytes(r, 300), plain), stream.Damaged, "before the first frame", nil},
		{"ID3v2.4, large, and junk behind it", join(id3Frame4(3_000_010, 3_000_000), randomBytes(r, 300), plain), stream.Damaged, "before the first frame", nil},
		{"APE without a header at the end", join(plain, apeTag(3000, false)), healthy, "", nil},
		{"APE with a header at the end", join(plain, apeTag(70_000, true)), healthy, "", nil},
		{"APE before ID3v1", join(plain, apeTag(700, true), v1), healthy, "", nil},
		{"APE in front", join(apeTag(70_000, true), plain), healthy, "", nil},
		{"Lyrics3 before ID3v1", join(plain, lyrics(3000), v1), healthy, "", nil},
		{"Lyrics3 of version 1", join(plain, []byte("LYRICSBEGIN"), bytes.Repeat([]byte{0xFF, 0xFB}, 1500), []byte("LYRICSEND"), v1), healthy, "", nil},
		{"an extended ID3v1", join(plain, []byte("TAG+"), bytes.Repeat([]byte{'x'}, 223), v1), healthy, "", nil},
		{"junk before ID3v1", join(plain, randomBytes(r, 900), v1), stream.Damaged, "900 bytes at the end are not audio", nil},
		{"ID3v2 and zeros behind it", join(id3Frame(3010, 3000), make([]byte, 700), plain), stream.Unsupported, "declares a length", nil},
		{"ID3v2 and junk behind it", join(id3Frame(3010, 3000), randomBytes(r, 700), plain), stream.Damaged, "before the first frame", nil},
		{"a byte in front", join([]byte{1}, plain), stream.Damaged, "1 bytes before the first frame", nil},
		{"junk in front", join(randomBytes(r, 700), plain), stream.Damaged, "before the first frame", nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, s := ours(t, c.file)
			f := s.Faults()
			switch {
			case c.kind == healthy && len(f) > 0:
				t.Errorf("faults %v in a whole file", f)
			case c.kind != healthy && (len(f) != 1 || f[0].Kind != c.kind || !strings.Contains(f[0].Detail, c.detail)):
				t.Errorf("faults %v, want one of kind %v with %q", f, c.kind, c.detail)
			case c.kind != healthy && (f[0].Trouble == stream.WrongTag) != (c.kind == stream.Unsupported):
				t.Errorf("trouble %d: %v", f[0].Trouble, f[0])
			}
			if c.same == nil {
				c.same = plain
			}
			if want, _ := ours(t, c.same); c.kind != stream.Damaged && !sameStart(got, want) {
				t.Error("other samples than without it")
			}
		})
	}
}

// sameStart compares over the length of want, which may be short of a frame.
func sameStart(got, want [][]float32) bool {
	n := len(want[0]) - 1152
	if len(got[0]) < n {
		return false
	}
	for ch := range want {
		for i, v := range want[ch][:n] {
			if got[ch][i] != v {
				return false
			}
		}
	}
	return true
}

func section(b []byte) *io.SectionReader {
	return io.NewSectionReader(bytes.NewReader(b), 0, int64(len(b)))
}
