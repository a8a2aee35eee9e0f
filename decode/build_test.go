package decode

import (
	"encoding/binary"
	"math"
	"math/rand"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"dubgauge/decode/need"
)

// field is a number in a file's header that says how long something is.
type field struct {
	name   string
	offset int
	bytes  int
	order  string // "le", "be", or "sync": 7 bits a byte, as in ID3v2
}

// put writes v, cut to the field's width.
func (f field) put(b []byte, v uint64) {
	shift := 8
	if f.order == "sync" {
		shift = 7
	}
	for i := range f.bytes {
		at := f.offset + i
		if f.order != "le" {
			at = f.offset + f.bytes - 1 - i
		}
		b[at] = byte(v>>(shift*i)) & byte(1<<shift-1)
	}
}

// sample16 is noise under a slow tone.
func sample16(frames, channels int) []int16 {
	rng := rand.New(rand.NewSource(3))
	out := make([]int16, frames*channels)
	for i := range out {
		out[i] = int16(9000*math.Sin(float64(i/channels)/30)) + int16(rng.Intn(400)-200)
	}
	return out
}

const builtFrames = 6000

// builtWAV is a plain file with a chunk before and one behind the data.
func builtWAV() ([]byte, []field) {
	b := []byte("RIFF\x00\x00\x00\x00WAVEfmt \x10\x00\x00\x00\x01\x00\x02\x00\x44\xac\x00\x00\x10\xb1\x02\x00\x04\x00\x10\x00")
	b = append(b, "LIST\x0e\x00\x00\x00INFOISFT\x02\x00\x00\x00x\x00"...)
	b = append(b, "data\x00\x00\x00\x00"...)
	data := len(b)
	b, _ = binary.Append(b, binary.LittleEndian, sample16(builtFrames, 2))
	b = append(b, "id3 \x04\x00\x00\x00abcd"...)
	binary.LittleEndian.PutUint32(b[4:], uint32(len(b)-8))
	binary.LittleEndian.PutUint32(b[data-4:], builtFrames*4)
	return b, []field{
		{"RIFF size", 4, 4, "le"}, {"fmt size", 16, 4, "le"}, {"LIST size", 40, 4, "le"},
		{"LIST entry size", 52, 4, "le"}, {"data size", data - 4, 4, "le"}, {"id3 size", data + builtFrames*4 + 4, 4, "le"},
	}
}

// builtRF64 has its sizes in a ds64 chunk with a table.
func builtRF64() ([]byte, []field) {
	b := []byte("RF64\xff\xff\xff\xffWAVEds64\x28\x00\x00\x00")
	b = binary.LittleEndian.AppendUint64(b, 0)
	b = binary.LittleEndian.AppendUint64(b, builtFrames*4)
	b = binary.LittleEndian.AppendUint64(b, builtFrames)
	b = append(b, "\x01\x00\x00\x00axml\x04\x00\x00\x00\x00\x00\x00\x00"...)
	b = append(b, "fmt \x10\x00\x00\x00\x01\x00\x02\x00\x44\xac\x00\x00\x10\xb1\x02\x00\x04\x00\x10\x00"...)
	b = append(b, "axml\xff\xff\xff\xffabcddata\xff\xff\xff\xff"...)
	b, _ = binary.Append(b, binary.LittleEndian, sample16(builtFrames, 2))
	binary.LittleEndian.PutUint64(b[20:], uint64(len(b)-8))
	return b, []field{
		{"RIFF size", 4, 4, "le"}, {"ds64 size", 16, 4, "le"}, {"ds64 RIFF size", 20, 8, "le"}, {"ds64 data size", 28, 8, "le"},
		{"ds64 sample count", 36, 8, "le"}, {"ds64 table length", 44, 4, "le"}, {"ds64 entry size", 52, 8, "le"},
		{"fmt size", 64, 4, "le"}, {"axml size", 88, 4, "le"}, {"data size", 100, 4, "le"},
	}
}

// builtAIFF has a text chunk before and one behind the samples.
func builtAIFF() ([]byte, []field) {
	b := []byte("FORM\x00\x00\x00\x00AIFFNAME\x00\x00\x00\x02ab")
	b = append(b, "COMM\x00\x00\x00\x12\x00\x02\x00\x00\x00\x00\x00\x10\x40\x0e\xac\x44\x00\x00\x00\x00\x00\x00"...)
	binary.BigEndian.PutUint32(b[32:], builtFrames)
	b = append(b, "SSND\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00"...)
	sound := len(b)
	b, _ = binary.Append(b, binary.BigEndian, sample16(builtFrames, 2))
	b = append(b, "ANNO\x00\x00\x00\x02xy"...)
	binary.BigEndian.PutUint32(b[4:], uint32(len(b)-8))
	binary.BigEndian.PutUint32(b[sound-12:], builtFrames*4+8)
	return b, []field{
		{"FORM size", 4, 4, "be"}, {"NAME size", 16, 4, "be"}, {"COMM size", 26, 4, "be"}, {"COMM frames", 32, 4, "be"},
		{"SSND size", sound - 12, 4, "be"}, {"SSND offset", sound - 8, 4, "be"}, {"SSND block size", sound - 4, 4, "be"},
		{"ANNO size", sound + builtFrames*4 + 4, 4, "be"},
	}
}

// builtFLAC comes from the reference encoder, with a Vorbis comment and padding.
func builtFLAC(tb testing.TB) ([]byte, []field) {
	need.Program(tb, "flac")
	raw, _ := binary.Append(nil, binary.LittleEndian, sample16(builtFrames, 2))
	path := filepath.Join(tb.TempDir(), "t.flac")
	run(tb, raw, "flac", "--silent", "-o", path, "--force-raw-format", "--endian=little", "--sign=signed", "--sample-rate=44100",
		"--bps=16", "--channels=2", "--blocksize=1152", "--padding=400", "--tag=TITLE=x", "-")
	b, err := os.ReadFile(path)
	if err != nil {
		tb.Fatal(err)
	}
	fields := []field{
		{"smallest block", 8, 2, "be"}, {"largest block", 10, 2, "be"}, {"smallest frame", 12, 3, "be"}, {"largest frame", 15, 3, "be"},
		{"total samples", 22, 4, "be"}, // the low 32 of 36 bits
	}
	for at, last := 4, false; !last; {
		last = b[at]&0x80 != 0
		fields = append(fields, field{"length of the block of type " + strconv.Itoa(int(b[at]&0x7f)), at + 1, 3, "be"})
		if b[at]&0x7f == 4 {
			fields = append(fields, field{"vendor length", at + 4, 4, "le"})
		}
		at += 4 + int(b[at+1])<<16 + int(b[at+2])<<8 + int(b[at+3])
	}
	return b, fields
}

// behindID3 puts an ID3v2 tag in front.
func behindID3(b []byte, fields []field) ([]byte, []field) {
	const tag = "ID3\x04\x00\x00\x00\x00\x00\x14TIT2\x00\x00\x00\x02\x00\x00\x00x\x00\x00\x00\x00\x00\x00\x00\x00"
	out := []field{{"ID3v2 size", 6, 4, "sync"}, {"ID3v2 frame size", 14, 4, "sync"}}
	for _, f := range fields {
		f.offset += len(tag)
		out = append(out, f)
	}
	return append([]byte(tag), b...), out
}
