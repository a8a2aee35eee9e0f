package tags

import (
	"bytes"
	"errors"
	"io"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime/metrics"
	"strconv"
	"strings"
	"testing"
	"time"

	"dubgauge/decode/stream"
)

// What is broken is named with its place, and what came before is kept.
func TestBrokenTagsKeepWhatWasRead(t *testing.T) {
	title := frame(3, "TIT2", 0, 0, "Title")
	for _, tt := range []struct {
		name   string
		file   []byte
		want   Tags
		offset int64
	}{
		{"frame larger than its tag", join(id3(3, 0, title, "TPE1", be32(5000), 0, 0, 0, "A"), audio), Tags{Title: "Title"}, 26},
		{"no frame name", join(id3(3, 0, title, "t\x7f?!", be32(2), 0, 0, 0, "A"), audio), Tags{Title: "Title"}, 26},
		{"tag larger than the file", join("ID3", 3, 0, 0, safe(5000), title), Tags{Title: "Title"}, 0},
		{"extended header larger than its tag", join(id3(3, 0x40, be32(1<<30), title), audio), Tags{}, 10},
		{"version 2.9", join(id3(9, 0, title), audio, v1("Ti", "", "", "", "", 0, 255)), Tags{Title: "Ti"}, 0},
		{"FLAC comment longer than its block", flacFile(flacBlock(4, join(le32(0), le32(2), le32(7), "TITLE=T", le32(1<<31)))), Tags{Title: "T"}, 65},
		{"FLAC block of type 127", join("fLaC", 0x7F, 0, 0, 4, "abcd"), Tags{}, 4},
		{"Ogg page missing", join(oggPages(7, join("\x01vorbis", make([]byte, 23))), "junk", make([]byte, 60)), Tags{}, 58},
		{"MP4 box larger than what it is in", join(box("ftyp", "M4A ", be32(0)), box("moov", be32(1000), "udta")), Tags{}, 24},
		{"APE item larger than its tag", join(audio, ape(false, apeItem("Title", 0, "Title"), join(le32(1<<30), le32(0), "Artist\x00A"))), Tags{Title: "Title"}, 438},
		{"INFO chunk larger than the file", join("RIFF", le32(99), "WAVE", "LIST", le32(99), "INFO", chunk(little, "INAM", "Title"), "IART", le32(90), "A"), Tags{Title: "Title"}, 38},
	} {
		t.Run(tt.name, func(t *testing.T) {
			got, err := readBytes(tt.file)
			if !equal(got, tt.want) {
				t.Errorf("got %q, want %q", got.row(), tt.want.row())
			}
			var e *stream.Error
			if !errors.As(err, &e) {
				t.Fatalf("error %v is not about the content", err)
			}
			if e.Offset != tt.offset {
				t.Errorf("%v, want it at byte %d", err, tt.offset)
			}
		})
	}
}

// failing is a medium that goes away.
type failing struct {
	b    []byte
	left int
}

var errGone = errors.New("the stick is gone")

func (f *failing) ReadAt(p []byte, off int64) (int, error) {
	if f.left--; f.left < 0 {
		return 0, errGone
	}
	return bytes.NewReader(f.b).ReadAt(p, off)
}

func TestMediumThatGoesAway(t *testing.T) {
	file := forms[0].file
	seen := false
	for n := range 40 {
		got, err := Read(io.NewSectionReader(&failing{file, n}, 0, int64(len(file))), "mp3")
		checkClean(t, got)
		seen = seen || errors.Is(err, errGone)
	}
	if !seen {
		t.Error("the error of the medium was never passed on")
	}
}

// lies overwrites every place that may hold a size with the values that break
// readers: 0, 1, odd, 2^31-1, 2^32-1, larger than the file.
func lies(file []byte, try func([]byte)) {
	for at := 0; at+4 <= min(len(file), 1200); at++ {
		for _, v := range []int{0, 1, 7, 1<<31 - 1, 1<<32 - 1, len(file) + 1} {
			for _, b := range [][]byte{be32(v), le32(v), safe(v)} {
				c := bytes.Clone(file)
				copy(c[at:], b)
				try(c)
			}
		}
	}
}

// hung is when a file is taken to hold up the reader: far more than a busy machine
// stalls for, and far less than what work in the square of the file's size takes.
const hung = 30 * time.Second

// lyingAllocation bounds what a file of less than 2000 bytes may make the reader
// allocate, whatever sizes it declares: far more than its content takes, far less than
// any size that lies about a megabyte.
const lyingAllocation = 256 << 10

// allocated is how many bytes this process has allocated on the heap since it began.
// Allocations of 32 KiB and more, as a size that lies makes, count at once; smaller ones
// when their span is full. How fast the collector runs has no part in it.
func allocated() uint64 {
	sample := []metrics.Sample{{Name: "/gc/heap/allocs:bytes"}}
	metrics.Read(sample)
	return sample[0].Value.Uint64()
}

// TestLyingSizes holds that no size is believed before it is held against the file:
// what reading a file allocates is counted, file by file.
func TestLyingSizes(t *testing.T) {
	var tries int
	var most uint64
	var slowest time.Duration
	try := func(b []byte) {
		start, before := time.Now(), allocated()
		got, _ := readBytes(b)
		spent := allocated() - before
		slowest = max(slowest, time.Since(start))
		for range 2 { // what is allocated for a lie is so every time; small things of others are not
			if spent <= lyingAllocation {
				break
			}
			before = allocated()
			readBytes(b)
			spent = min(spent, allocated()-before)
		}
		if spent > lyingAllocation && spent > most {
			t.Errorf("%d bytes were allocated for a file of %d: %q", spent, len(b), b[:min(len(b), 100)])
		}
		most = max(most, spent)
		checkClean(t, got)
		tries++
	}
	for i, tt := range forms {
		if len(tt.file) < 2000 && (i%3 == 0 || !testing.Short()) {
			lies(tt.file, try)
		}
	}
	for _, name := range []string{"mutagen-picture.flac", "mutagen.m4a", "mutagen.wma", "ffmpeg-bext.wav", "ffmpeg-opus.opus"} {
		b, err := os.ReadFile(filepath.Join("testdata/files", name))
		if err != nil {
			t.Fatal(err)
		}
		lies(b[:min(len(b), 1500)], try)
	}
	if slowest > hung {
		t.Errorf("the slowest took %v", slowest)
	}
	t.Logf("%d files, %d bytes allocated for one at most, slowest %v", tries, most, slowest)
}

// TestAllocationIsCounted holds that the count sees what a size that lies would take.
func TestAllocationIsCounted(t *testing.T) {
	before := allocated()
	kept = make([]byte, 2*lyingAllocation)
	if got := allocated() - before; got < 2*lyingAllocation {
		t.Errorf("%d bytes were counted of %d", got, 2*lyingAllocation)
	}
}

var kept []byte // keeps an allocation from being left out

// TestCorruptedCopies reads 100 damaged copies of each file, and 1000 with
// DUBGAUGE_SEEDS=1000, or whatever number it says.
func TestCorruptedCopies(t *testing.T) {
	files, err := filepath.Glob("testdata/files/*")
	if err != nil || len(files) < 30 {
		t.Fatal(len(files), err)
	}
	copies := 100
	if n, err := strconv.Atoi(os.Getenv("DUBGAUGE_SEEDS")); err == nil {
		copies = n
	}
	rng := rand.New(rand.NewPCG(4, 2))
	for _, name := range files {
		file, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		for range copies {
			b := bytes.Clone(file[:min(len(file), 3000)])
			for range 1 + rng.IntN(8) {
				b[rng.IntN(len(b))] = byte(rng.IntN(256))
			}
			if rng.IntN(4) == 0 {
				b = b[:rng.IntN(len(b))]
			}
			got, _ := readBytes(b)
			checkClean(t, got)
		}
	}
}

// A hostile file of many small parts does not hold up the reader.
func TestManySmallParts(t *testing.T) {
	for _, tt := range []struct {
		name string
		file []byte
	}{
		{"ID3 frames", join(id3(3, 0, strings.Repeat(string(frame(3, "TIT2", 0)), 400000)), audio)},
		{"ID3 frames, unsynchronised", join(id3(3, 0x80, strings.Repeat(string(frame(3, "TIT2", 0)), 400000)), audio)},
		{"ID3 tags", []byte(strings.Repeat(string(id3(3, 0)), 400000))},
		{"comments", flacFile(flacBlock(4, join(le32(0), le32(1<<32-1), make([]byte, 1<<23))))},
		{"FLAC blocks", join("fLaC", make([]byte, 1<<23))},
		{"chunks", riffFile("RIFF", strings.Repeat("LIST\x00\x00\x00\x00", 400000))},
		{"boxes", join(box("ftyp", "M4A ", be32(0)), box("moov", strings.Repeat(string(box("udta")), 400000)))},
		{"pages", []byte(strings.Repeat("OggS"+strings.Repeat("\x00", 23), 200000))},
	} {
		start := time.Now()
		_, err := readBytes(tt.file)
		if d := time.Since(start); d > hung {
			t.Errorf("%s: %v, %v", tt.name, d, err)
		}
	}
}
