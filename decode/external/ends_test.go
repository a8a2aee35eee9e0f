package external

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"io"
	"math"
	"math/rand"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"dubgauge/decode/stream"
)

// soundOf is a stereo tone of n frames with some noise, as raw floats.
func soundOf(n int) []byte {
	rng := rand.New(rand.NewSource(8))
	var b []byte
	for i := range n {
		v := float32(0.4*math.Sin(2*math.Pi*toneHertz*float64(i)/toneRate)) + float32(rng.NormFloat64()*0.02)
		for range 2 {
			b = binary.LittleEndian.AppendUint32(b, math.Float32bits(v))
		}
	}
	return b
}

// encoded gives the bytes of a file that ffmpeg makes.
func encoded(t *testing.T, raw []byte, name string, args ...string) []byte {
	t.Helper()
	path := filepath.Join(t.TempDir(), name)
	encode(t, raw, path, args...)
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// decoded reads the bytes as a file to its end; err is nil at a good end.
func decoded(t *testing.T, b []byte) (samples []float32, faults []stream.Error, err error) {
	t.Helper()
	path := filepath.Join(t.TempDir(), "t.bin")
	if err := os.WriteFile(path, b, 0o600); err != nil {
		t.Fatal(err)
	}
	s, err := open(t.Context(), path)
	if err != nil {
		return nil, nil, err
	}
	defer s.Close()
	samples, err = readAll(s)
	if err == io.EOF {
		err = nil
	}
	return samples, s.Faults(), err
}

// namesKind tells whether a fault of the kind has the words, close to a time in seconds.
func namesKind(faults []stream.Error, kind stream.Kind, words string, at float64) bool {
	for _, f := range faults {
		if f.Kind == kind && strings.Contains(f.Detail, words) && math.Abs(f.At-at) < 1 {
			return true
		}
	}
	return false
}

// oggPages gives the offsets of the pages and the end.
func oggPages(b []byte) (at []int) {
	for i := 0; i+oggHead < len(b); {
		at = append(at, i)
		n := oggHead + int(b[i+26])
		for _, s := range b[i+oggHead : i+n] {
			n += int(s)
		}
		i += n
	}
	return append(at, len(b))
}

// TestOggEnds names what is missing of an Ogg file, and lets a whole one pass.
func TestOggEnds(t *testing.T) {
	const seconds = 8
	raw := soundOf(seconds * toneRate)
	for _, codec := range []string{"libvorbis", "libopus", "flac"} {
		whole := encoded(t, raw, "t.ogg", "-c:a", codec, "-page_duration", "200000")
		pages := oggPages(whole)
		mid := pages[len(pages)/2]
		for _, c := range []struct {
			name  string
			file  []byte
			kind  stream.Kind // 0: no fault
			words string
			at    float64 // seconds
		}{
			{"whole", whole, 0, "", 0},
			{"zeros behind", join(whole, make([]byte, 5000)), 0, "", 0},
			{"ID3v1 behind", join(whole, []byte("TAG"), make([]byte, 125)), 0, "", 0},
			{"half", whole[:mid+100], stream.Truncated, "cut off", seconds / 2},
			{"half, cut in a page's head", whole[:mid+10], stream.Truncated, "no Ogg page", seconds / 2},
			{"half, to the end of a page", whole[:mid], stream.Unsupported, "no last page", seconds / 2},
			{"half and zeros", join(whole[:mid], make([]byte, len(whole)-mid)), stream.Truncated, "the stream stops there", seconds / 2},
			{"a page missing", join(whole[:mid], whole[pages[len(pages)/2+1]:]), stream.Damaged, "pages of the Ogg stream are missing", seconds / 2},
			{"junk between", join(whole[:mid], bytes.Repeat([]byte{7}, 999), whole[mid:]), stream.Damaged, "999 bytes are no Ogg page", seconds / 2},
		} {
			t.Run(codec+" "+c.name, func(t *testing.T) {
				_, faults, err := decoded(t, c.file)
				switch {
				case err != nil:
					t.Error(err)
				case c.kind == 0 && len(faults) > 0:
					t.Errorf("faults %v in a whole file", faults)
				case c.kind != 0 && !namesKind(faults, c.kind, c.words, c.at):
					t.Errorf("faults %v, want %v %q at %v s", faults, c.kind, c.words, c.at)
				case c.kind == stream.Unsupported && faults[0].Trouble != stream.NoEnd:
					t.Errorf("trouble %d", faults[0].Trouble)
				}
			})
		}
	}
}

func join(parts ...[]byte) []byte { return bytes.Join(parts, nil) }

// TestGuessedLength reads raw AAC whose length ffmpeg can only guess from the bit
// rate: loud noise at the start makes it guess too much or too little. Cut off in a
// frame it is truncated.
func TestGuessedLength(t *testing.T) {
	rng := rand.New(rand.NewSource(9))
	raw := make([]byte, 20*toneRate*8)
	for i := range 2 * toneRate {
		for c := range 2 {
			binary.LittleEndian.PutUint32(raw[8*(i+9*toneRate)+4*c:], math.Float32bits(float32(rng.NormFloat64()*0.2)))
		}
	}
	for name, quiet := range map[string][]byte{"loud in the middle": raw, "loud at the start": raw[9*toneRate*8:], "loud at the end": raw[:11*toneRate*8]} {
		whole := encoded(t, quiet, "t.aac", "-c:a", "aac", "-b:a", "256k")
		if _, faults, err := decoded(t, whole); err != nil || len(faults) > 0 {
			t.Errorf("%s: %v, faults %v in a whole file", name, err, faults)
		}
	}
	whole := encoded(t, soundOf(4*toneRate), "t.aac", "-c:a", "aac")
	if _, faults, err := decoded(t, whole[:len(whole)/2+50]); err != nil || !namesKind(faults, stream.Truncated, "the last frame is cut off", 2) {
		t.Errorf("half of it: %v, faults %v", err, faults)
	}
	frame := bytes.LastIndex(whole, whole[:4]) // where the last one begins
	for n, file := range map[string][]byte{"three bytes into a frame's head": whole[:frame+3], "at the end of its head": whole[:frame+7], "one byte before the end": whole[:len(whole)-1]} {
		if _, faults, err := decoded(t, file); err != nil || !namesKind(faults, stream.Truncated, "the last frame is cut off", 4) {
			t.Errorf("%s: %v, faults %v", n, err, faults)
		}
	}
	for n, file := range map[string][]byte{"ID3v1 behind": join(whole, []byte("TAG"), make([]byte, 125)), "a hundred zeros behind": join(whole, make([]byte, 100)), "cut between two frames": whole[:frame]} {
		if _, faults, err := decoded(t, file); err != nil || len(faults) > 0 {
			t.Errorf("%s: %v, faults %v", n, err, faults)
		}
	}
}

// TestPaddedW64 reads Wave64 with as many frames of 24 bits as do not fill the 8 bytes
// that its chunks are padded to.
func TestPaddedW64(t *testing.T) {
	for n := 30_000; n < 30_004; n++ {
		whole := encoded(t, soundOf(n), "t.w64", "-c:a", "pcm_s24le")
		if got, faults, err := decoded(t, whole); err != nil || len(faults) > 0 || len(got) < n || len(got) > n+1 {
			t.Errorf("%d frames: %d, %v, faults %v", n, len(got), err, faults)
		}
		if _, faults, err := decoded(t, whole[:len(whole)/2]); err != nil || !namesKind(faults, stream.Truncated, "the file declares", float64(n)/2/toneRate) {
			t.Errorf("%d frames, half of the file: %v, faults %v", n, err, faults)
		}
	}
}

// mp4Box is a box of an MP4 file.
func mp4Box(name string, parts ...[]byte) []byte {
	body := join(parts...)
	return join(binary.BigEndian.AppendUint32(nil, uint32(8+len(body))), []byte(name), body)
}

// withItem puts an item into the item list of an MP4 file whose moov is the last box,
// in place of the list that it has.
func withItem(t *testing.T, b, item []byte) []byte {
	t.Helper()
	head := mp4Box("hdlr", []byte("\x00\x00\x00\x00\x00\x00\x00\x00mdirappl\x00\x00\x00\x00\x00\x00\x00\x00\x00"))
	at := bytes.LastIndex(b, []byte("moov")) - 4
	moov := b[at:]
	if old := bytes.Index(moov, []byte("udta")) - 4; old > 0 {
		moov = join(moov[:old], moov[old+int(binary.BigEndian.Uint32(moov[old:])):])
	}
	moov = join(moov, mp4Box("udta", mp4Box("meta", []byte{0, 0, 0, 0}, head, mp4Box("ilst", item))))
	binary.BigEndian.PutUint32(moov, uint32(len(moov)))
	return join(b[:at], moov)
}

// withComment puts the gapless comment that some encoders write into an MP4 file.
func withComment(t *testing.T, b []byte, priming, remainder, samples int) []byte {
	t.Helper()
	text := fmt.Sprintf(" 00000000 %08X %08X %016X%s", priming, remainder, samples, strings.Repeat(" 00000000", 8))
	return withItem(t, b, mp4Box("----", mp4Box("mean", []byte("\x00\x00\x00\x00com.apple.iTunes")), mp4Box("name", []byte("\x00\x00\x00\x00iTunSMPB")),
		mp4Box("data", []byte("\x00\x00\x00\x01\x00\x00\x00\x00"), []byte(text))))
}

// TestGaplessM4A holds the length of what comes out of an M4A file against what went
// into the encoder, by the edit list and by the gapless comment: to the sample. Where
// the file says nothing, or what does not fit, it is that of its frames.
func TestGaplessM4A(t *testing.T) {
	const frame, priming = 1024, 1024 // of AAC, and what ffmpeg's encoder puts in front
	for _, n := range []int{44_477, 2048} {
		raw := soundOf(n)
		filled := (n + priming + frame - 1) / frame * frame
		edits := encoded(t, raw, "t.m4a", "-c:a", "aac")
		plain := encoded(t, raw, "t.m4a", "-c:a", "aac", "-use_editlist", "0")
		front := encoded(t, raw, "t.m4a", "-c:a", "aac", "-movflags", "+faststart")
		for _, c := range []struct {
			name string
			file []byte
			want int
		}{
			{"edit list", edits, n},
			{"edit list, moov in front", front, n},
			{"comment", withComment(t, plain, priming, filled-priming-n, n), n},
			{"both", withComment(t, edits, priming, filled-priming-n, n), n},
			{"neither", plain, filled},
			{"a comment that is not true", withComment(t, plain, priming, 0, 1<<30), filled - priming},
			{"alac", encoded(t, raw, "t.m4a", "-c:a", "alac"), n},
		} {
			got, faults, err := decoded(t, c.file)
			if err != nil || len(faults) > 0 || len(got) != c.want {
				t.Errorf("%d frames, %s: %d, want %d; %v, faults %v", n, c.name, len(got), c.want, err, faults)
				continue
			}
			if c.want == n {
				if off := lag(raw, got, 200); off != 0 {
					t.Errorf("%d frames, %s: the sound is off by %d", n, c.name, off)
				}
			}
		}
	}
}

// lag is by how many samples got is late against the raw floats, in stereo, by the
// largest correlation within so many samples.
func lag(raw []byte, got []float32, most int) (at int) {
	best := 0.0
	for off := -most; off <= most; off++ {
		sum := 0.0
		for i := most; i < len(got)-most; i++ {
			sum += float64(got[i]) * float64(math.Float32frombits(binary.LittleEndian.Uint32(raw[8*(i-off):])))
		}
		if sum > best {
			best, at = sum, off
		}
	}
	return at
}

// withSBR makes an M4A file of ffmpeg's encoder say that it is HE-AAC: the sync
// extension of its AudioSpecificConfig (ISO/IEC 14496-3, clause 1.6.2.1) says that SBR is
// there, at twice the rate. No encoder of HE-AAC is at hand; what the files lack
// is the SBR data, so that decoders only double the rate, with all delays that SBR has.
func withSBR(t *testing.T, b []byte) []byte {
	t.Helper()
	const index88200 = 1
	without := []byte{0x56, 0xe5, 0x00} // 0x2b7, object type 5, no SBR
	at := bytes.Index(b, without)
	if at < 0 {
		t.Fatal("no sync extension")
	}
	b = bytes.Clone(b)
	b[at+2] = 0x80 | index88200<<3
	return b
}

// countedTwice makes the media of an M4A file count at twice its rate.
func countedTwice(b []byte) []byte {
	b = bytes.Clone(b)
	twice := func(at int) { binary.BigEndian.PutUint32(b[at:], 2*binary.BigEndian.Uint32(b[at:])) }
	media, times := bytes.Index(b, []byte("mdhd")), bytes.Index(b, []byte("stts"))
	twice(media + 16)
	twice(media + 20)
	for i := range int(binary.BigEndian.Uint32(b[times+8:])) {
		twice(times + 16 + 8*i)
	}
	if edits := bytes.Index(b, []byte("elst")); edits > 0 {
		twice(edits + 16)
	}
	return b
}

// TestGaplessHEAAC holds the length of HE-AAC against what went into the encoder: to the
// sample where the file counts at the rate of the core, as encoders' own writers do, and
// within a frame of 2048 where it counts at the rate that comes out: there ffmpeg 5.1 cuts
// twice as much in front. The sound is late by what SBR itself adds, 481 samples of the
// core, which files leave out of their counts.
func TestGaplessHEAAC(t *testing.T) {
	const n, frame, priming, late = 44_477, 1024, 1024, 481
	raw := soundOf(n)
	const filled = (n + priming + frame - 1) / frame * frame
	edits := withSBR(t, encoded(t, raw, "t.m4a", "-c:a", "aac"))
	plain := withSBR(t, encoded(t, raw, "t.m4a", "-c:a", "aac", "-use_editlist", "0"))
	for _, c := range []struct {
		name  string
		file  []byte
		want  int
		slack int
	}{
		{"edit list", edits, 2 * n, 0},
		{"comment", withComment(t, plain, priming, filled-priming-n, n), 2 * n, 0},
		{"edit list at the rate that comes out", countedTwice(edits), 2 * n, 2 * frame},
		{"neither", plain, 2 * filled, 0},
	} {
		got, faults, err := decoded(t, c.file)
		if err != nil || len(faults) > 0 || len(got) > c.want || len(got) < c.want-c.slack {
			t.Errorf("%s: %d, want %d; %v, faults %v", c.name, len(got), c.want, err, faults)
			continue
		}
		if c.want == 2*n && c.slack == 0 {
			core := make([]float32, len(got)/2)
			for i := range core {
				core[i] = got[2*i]
			}
			if off := lag(raw, core, 700); off != late {
				t.Errorf("%s: the sound is off by %d, want %d", c.name, off, late)
			}
		}
	}
}

// TestDamagedM4A names what is gone of an M4A file.
func TestDamagedM4A(t *testing.T) {
	raw := soundOf(8 * toneRate)
	back := encoded(t, raw, "t.m4a", "-c:a", "aac")
	front := encoded(t, raw, "t.m4a", "-c:a", "aac", "-movflags", "+faststart")
	hole := bytes.Clone(front)
	clear(hole[len(hole)/2 : len(hole)/2+8192])
	for name, file := range map[string][]byte{"half, moov behind": back[:len(back)/2], "half, moov in front": front[:len(front)/2], "a hole": hole,
		"half and zeros": join(front[:len(front)/2], make([]byte, len(front)/2))} {
		if _, faults, err := decoded(t, file); err == nil && len(faults) == 0 {
			t.Errorf("%s: nothing is named", name)
		}
	}
}

// TestBadCover reads an M4A file whose cover is no picture: ffmpeg complains of it,
// though it is not asked for. What is gone of the sound beside it is named.
func TestBadCover(t *testing.T) {
	raw := soundOf(2 * toneRate)
	whole := encoded(t, raw, "t.m4a", "-c:a", "aac")
	cover := bytes.Repeat([]byte("\xff\xd8\xff\xe0no picture at all"), 500)
	file := withItem(t, whole, mp4Box("covr", mp4Box("data", []byte("\x00\x00\x00\x0d\x00\x00\x00\x00"), cover)))
	got, faults, err := decoded(t, file)
	want, _, _ := decoded(t, whole)
	if err != nil || len(faults) > 0 || !slices.Equal(got, want) {
		t.Errorf("%v, faults %v, %d samples of %d", err, faults, len(got), len(want))
	}
	clear(file[len(whole)/3 : len(whole)/2])
	if _, faults, err := decoded(t, file); err == nil && len(faults) == 0 {
		t.Error("a hole in the sound beside it is not named")
	}
}
