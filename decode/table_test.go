package decode

import (
	"bytes"
	"context"
	"encoding/binary"
	"fmt"
	"io"
	"math"
	"math/rand"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"dubgauge/decode/need"
)

// tableSeeds is how many copies of each kind of damage and format are made.
// DUBGAUGE_TABLE sets another number, and has every healthy file made: the table in
// DEVELOPERS.md is from 200.
//
//	DUBGAUGE_TABLE=200 go test ./decode -run 'TestTable|TestHealthy' -v -timeout 60m
func tableSeeds(t *testing.T) (n int, full bool) {
	t.Helper()
	n, err := strconv.Atoi(os.Getenv("DUBGAUGE_TABLE"))
	if err != nil {
		return 4, false
	}
	return n, true
}

// injury is a kind of damage to a file of a given length of head. It says what of the
// file is left in front of the damage and what behind it, in bytes.
type injury struct {
	name string
	do   func(rng *rand.Rand, b []byte, head int) (out []byte, front, back int)
	// shows says in which formats it cannot pass unseen: "all", "sums" (those with
	// checksums or, mostly, syntax: noise within one frame of MP3 may break no rule), ""
	// none.
	shows string
}

const injuryBytes = 6000 // of damage, at most

func place(rng *rand.Rand, b []byte, head int) (from, to int) {
	from = head + (len(b)-head)/8 + rng.Intn((len(b)-head)/2)
	return from, from + (500+rng.Intn(injuryBytes-500))/4*4 // frames of PCM stay aligned
}

var injuries = []injury{
	{"cut off", func(rng *rand.Rand, b []byte, head int) ([]byte, int, int) {
		from, _ := place(rng, b, head)
		return b[:from], from, 0
	}, "all"},
	{"copy stopped, zeros to the end", func(rng *rand.Rand, b []byte, head int) ([]byte, int, int) {
		from, _ := place(rng, b, head)
		from = (from + 4095) / 4096 * 4096
		clear(b[from:])
		return b, from, 0
	}, "all"},
	{"bytes missing", func(rng *rand.Rand, b []byte, head int) ([]byte, int, int) {
		from, to := place(rng, b, head)
		return append(b[:from], b[to:]...), from, len(b) - to
	}, "all"},
	{"bytes put in", func(rng *rand.Rand, b []byte, head int) ([]byte, int, int) {
		from, to := place(rng, b, head)
		junk := make([]byte, to-from)
		rng.Read(junk)
		return append(b[:from:from], append(junk, b[from:]...)...), from, len(b) - from
	}, "all"},
	{"noise over it", func(rng *rand.Rand, b []byte, head int) ([]byte, int, int) {
		from, to := place(rng, b, head)
		rng.Read(b[from:to])
		return b, from, len(b) - to
	}, "sums"},
	{"zeros over it", func(rng *rand.Rand, b []byte, head int) ([]byte, int, int) {
		from, to := place(rng, b, head)
		clear(b[from:to])
		return b, from, len(b) - to
	}, "sums"},
	{"one flipped bit", func(rng *rand.Rand, b []byte, head int) ([]byte, int, int) {
		from, _ := place(rng, b, head)
		b[from] ^= 1 << rng.Intn(8)
		return b, from, len(b) - from - 1
	}, ""},
}

// tableFormats are the files that are damaged; each is some five seconds of sound.
func tableFormats(t *testing.T) []struct {
	name  string
	file  []byte
	head  int
	sums  float64 // least share named of what breaks sums or syntax
	share int     // one seed in so many: ffmpeg takes its time to start
} {
	raw := music16(5 * 44100)
	through := func(name, args string) []byte {
		need.Program(t, "ffmpeg")
		path := filepath.Join(t.TempDir(), name)
		run(t, raw, "ffmpeg", append(append(strings.Fields("-loglevel error -f s16le -ar 44100 -ac 2 -i pipe:0"), strings.Fields(args)...), path)...)
		b, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		return b
	}
	need.Program(t, "lame")
	mp3 := func(args string) []byte {
		return run(t, raw, "lame", append(strings.Fields("--quiet -r -s 44.1 --bitwidth 16 "+args), "-", "-")...)
	}
	return []struct {
		name  string
		file  []byte
		head  int
		sums  float64 // least share named of what breaks sums or syntax
		share int
	}{
		{"WAV", through("t.wav", "-bitexact"), 44, 0, 1},
		{"AIFF", through("t.aiff", ""), 54, 0, 1},
		{"FLAC", through("t.flac", ""), 8192, 1, 1},
		{"MP3 320", mp3("-b 320"), 1044, 0.9, 1},
		{"MP3 V2", mp3("-V 2"), 1044, 0.9, 1},
		{"MP3 128, no tag", mp3("-b 128 -t"), 417, 0.9, 1},
		{"M4A, AAC", through("t.m4a", "-c:a aac -b:a 256k -movflags +faststart"), 4096, 0, 10},
		{"Ogg Vorbis", through("t.ogg", "-c:a libvorbis -q:a 6"), 8192, 0, 10},
	}
}

// music16 is n frames of a beat with chords and noise, which end at full level, in
// 16 bits, stereo.
func music16(n int) []byte {
	rng := rand.New(rand.NewSource(4))
	b := make([]byte, 0, 4*n)
	for i := range n {
		at := float64(i%22050) / 44100
		kick := math.Sin(2*math.Pi*50*at) * math.Exp(-5*at)
		chord := math.Sin(float64(i)/17) + math.Sin(float64(i)/13.3) + math.Sin(float64(i)/9.1)
		for c := range 2 {
			v := 0.4*kick + 0.1*chord + 0.03*rng.NormFloat64() + 0.02*float64(c)*math.Sin(float64(i)/5)
			b = binary.LittleEndian.AppendUint16(b, uint16(int16(20000*v)))
		}
	}
	return b
}

// keptShare is the share of the undamaged sound that came through, in place in front of
// the damage and at one place in time behind it: of the blocks that the bytes in front
// and behind stand for. grown is how many bytes longer the copy is.
func keptShare(got, clean [][]float32, front, back, head, size, grown int) float64 {
	n := len(clean[0])
	scale := float64(n) / float64(size-head)
	until, from := int(float64(max(front-head, 0))*scale), n-int(float64(back)*scale)
	shifts := []int{0, len(got[0]) - n, int(math.Round(float64(grown) * scale))}
	for k := -200; k <= 200; k++ {
		shifts = append(shifts, 64*k) // coders work in multiples
	}
	before, all := countBlocks(got, clean, 0, until, 0)
	behind, most := 0, 0
	for _, d := range shifts {
		same, n := countBlocks(got, clean, from, n, d)
		behind, most = max(behind, same), n
	}
	return float64(before+behind) / float64(max(all+most, 1))
}

// countBlocks counts the blocks of clean from one sample to another, and those of them
// that are in got, d samples later.
func countBlocks(got, clean [][]float32, from, to, d int) (same, all int) {
	for at := from; at+keptBlock <= to; at += keptBlock {
		all++
		same += b2i(equalBlock(got, clean, at+d, at))
	}
	return same, all
}

func b2i(b bool) int {
	if b {
		return 1
	}
	return 0
}

// rounding is by how much samples may differ: the filter banks add up in another order.
const rounding = 1e-5

func equalBlock(got, clean [][]float32, k, at int) bool {
	if k < 0 || k+keptBlock > len(got[0]) || len(got) != len(clean) {
		return false
	}
	for c := range clean {
		for i, v := range clean[c][at : at+keptBlock] {
			if math.Abs(float64(got[c][k+i]-v)) > rounding {
				return false
			}
		}
	}
	return true
}

// keptBlock is the stretch of sound, in samples, that must come through as a whole to
// count: half a frame of MP3.
const keptBlock = 576

// tableRow counts what became of the copies of one kind.
type tableRow struct {
	copies, named int
	kept          float64
}

func (r *tableRow) try(t *testing.T, path string, clean [][]float32, file []byte, head int, in injury, seed int) {
	t.Helper()
	out, front, back := in.do(rand.New(rand.NewSource(int64(seed))), bytes.Clone(file), head)
	write(t, path, out)
	r.copies++
	s, err := OpenWith(context.Background(), path, Options{Verify: true})
	if err != nil {
		r.named++
		return
	}
	defer s.Close()
	got, err := drain(s)
	named := err != io.EOF
	for _, f := range s.Faults() {
		named = named || f.Kind != Unsupported
	}
	if named {
		r.named++
	} else if in.shows != "" {
		t.Logf("seed %d: not named, %d of %d bytes in front; %v", seed, front, len(file), s.Faults())
	}
	if len(got) == 2 {
		r.kept += keptShare(got, clean, front, back, head, len(file), len(out)-len(file))
	}
}

// keptLeast is the least share of undamaged sound, over all copies of a kind, in the
// formats that are read here. An MP3 file without a count of its frames, or cut off,
// may lose some more around the damage.
const keptLeast = 0.9

// TestTable prints, by kind of damage and format, the share of copies whose damage is
// named and the share of the undamaged sound that is kept.
func TestTable(t *testing.T) {
	n, _ := tableSeeds(t)
	for _, f := range tableFormats(t) {
		path := filepath.Join(t.TempDir(), "t")
		write(t, path, f.file)
		_, clean, faults := readWhole(t, path)
		if len(faults) > 0 {
			t.Fatalf("%s: faults %v in the whole file", f.name, faults)
		}
		for _, in := range injuries {
			var r tableRow
			for seed := range max(n/f.share, 1) {
				r.try(t, path, clean, f.file, f.head, in, seed)
			}
			t.Logf("| %s | %s | %d | %.1f %% | %.1f %% |", f.name, in.name, r.copies, 100*float64(r.named)/float64(r.copies), 100*r.kept/float64(r.copies))
			if f.share > 1 {
				continue // ffmpeg's affair
			}
			least := map[string]float64{"all": 1, "sums": f.sums}[in.shows]
			if strings.HasPrefix(f.name, "MP3") {
				// These files state no count of frames: one that is cut between two frames,
				// or whose zeros can be frames' own, looks whole.
				least = min(least, f.sums)
			}
			if float64(r.named) < least*float64(r.copies) {
				t.Errorf("%s, %s: %d of %d named", f.name, in.name, r.named, r.copies)
			}
			if r.kept < keptLeast*float64(r.copies) {
				t.Errorf("%s, %s: %.3f of the undamaged sound kept", f.name, in.name, r.kept/float64(r.copies))
			}
		}
	}
}

// TestHealthy makes files with every writer at hand, with odd but legal options, and
// counts those that are called damaged or truncated: none may be.
func TestHealthy(t *testing.T) {
	_, full := tableSeeds(t)
	dir := t.TempDir()
	sound := music16(44100)
	alarms, made, odd := 0, 0, 0
	for i, args := range healthyFiles() {
		if !full && i%17 != 0 {
			continue
		}
		fields := strings.Fields(args)
		need.Program(t, fields[0])
		path := filepath.Join(dir, strconv.Itoa(i)+fields[len(fields)-1])
		fields[len(fields)-1] = path
		run(t, sound, fields[0], fields[1:]...)
		info, got, faults := readWhole(t, path)
		made++
		if len(got[0]) < info.SampleRate*9/10 {
			t.Errorf("%s: %d samples", args, len(got[0]))
		}
		for _, f := range faults {
			if f.Kind != Unsupported {
				alarms++
				t.Errorf("%s: %v", args, f)
				break
			}
			odd++
			t.Errorf("%s: %v", args, f)
		}
		os.Remove(path)
	}
	t.Logf("%d false alarms and %d remarks on %d healthy files", alarms, odd, made)
}

// healthyFiles are commands that make a file of the sound that they are fed, the name
// of the file, of which only the ending counts, last.
func healthyFiles() (all []string) {
	add := func(format string, list ...string) {
		for _, v := range list {
			all = append(all, fmt.Sprintf(format, v))
		}
	}
	lame := "lame --quiet -r -s 44.1 --bitwidth 16 %s - .mp3"
	for _, kbps := range []int{32, 40, 48, 56, 64, 80, 96, 112, 128, 160, 192, 224, 256, 320} {
		for _, o := range []string{"", "-t", "-p", "-m s --nores"} {
			add(lame, fmt.Sprintf("-b %d %s", kbps, o))
		}
	}
	for v := range 10 {
		add(lame, fmt.Sprintf("-V %d", v), fmt.Sprintf("-V %d -t -p", v), fmt.Sprintf("-V %d -m m", v))
	}
	for _, abr := range []int{60, 99, 140, 201, 310} {
		add(lame, fmt.Sprintf("--abr %d", abr), fmt.Sprintf("--abr %d -p", abr))
	}
	for _, rate := range []string{"48", "32", "24", "22.05", "16", "12", "11.025", "8"} {
		add(lame, "--resample "+rate, "--resample "+rate+" -m m", "--resample "+rate+" -V 4 -p")
	}
	add(lame, "--freeformat -b 400", "--freeformat -b 150", "--freeformat -b 640 -p", "-m d -b 192", "-m f -b 128", "--allshort -b 128",
		"--noshort -b 128", "--strictly-enforce-ISO -b 320", "--id3v1-only --tt x", "--id3v2-only --tt x", "--add-id3v2 --pad-id3v2 --tt x", "--id3v2-utf16 --tt x",
		"-e n", "-e 5", "-e c", "-c -o", "--scale 3 -b 320", "--scale 0.001", "--preset insane", "--replaygain-accurate")
	ffmpeg := "ffmpeg -loglevel error -f s16le -ar 44100 -ac 2 -i pipe:0 %s"
	for _, codec := range []string{"pcm_u8", "pcm_s16le", "pcm_s24le", "pcm_s32le", "pcm_f32le", "pcm_f64le", "pcm_alaw", "pcm_mulaw"} {
		for _, o := range []string{"", "-ar 96000", "-ac 1", "-rf64 always", "-write_bext 1 -metadata title=x"} {
			add(ffmpeg, "-c:a "+codec+" "+o+" .wav")
		}
		add(ffmpeg, "-c:a "+codec+" .w64")
	}
	for _, codec := range []string{"pcm_s8", "pcm_s16be", "pcm_s16le", "pcm_s24be", "pcm_s32be", "pcm_f32be", "pcm_f64be"} {
		add(ffmpeg, "-c:a "+codec+" .aiff", "-c:a "+codec+" -ac 1 -ar 48000 -write_id3v2 1 -metadata title=x .aiff")
	}
	for level := range 13 {
		add(ffmpeg, fmt.Sprintf("-compression_level %d .flac", level))
	}
	add(ffmpeg, "-b:a 128k -write_xing 0 .mp3", "-q:a 3 -id3v2_version 3 -metadata title=x .mp3", "-write_id3v1 1 -b:a 96k -reservoir 0 .mp3", "-abr 1 -b:a 190k .mp3",
		"-c:a libshine -b:a 128k .mp3", "-c:a libshine -b:a 64k -ac 1 .mp3", "-c:a aac .m4a", "-c:a aac -movflags +faststart .m4a", "-c:a aac -movflags +frag_keyframe .m4a",
		"-c:a aac -b:a 64k -ac 1 .aac", "-c:a aac .aac", "-c:a alac .m4a", "-c:a libvorbis .ogg", "-c:a libvorbis -q:a 9 -page_duration 10000 .ogg", "-c:a libopus .opus", "-c:a libopus -b:a 24k -ac 1 .ogg",
		"-c:a flac .ogg", "-c:a mp2 .mp2", "-c:a wmav2 .wma", "-c:a tta .tta", "-c:a wavpack .wv", "-c:a pcm_s16be .caf", "-c:a adpcm_ms .wav")
	flac := "flac --silent --force-raw-format --endian=little --sign=signed --sample-rate=44100 --bps=16 --channels=2 %s - -o .flac"
	for level := range 9 {
		add(flac, fmt.Sprintf("-%d", level))
	}
	add(flac, "--lax -b 100", "-b 4608", "--padding=0 --no-padding", "--padding=70000", "--lax -l 32 -b 16384", "-T TITLE=x", "--no-seektable", "-S 10x", "-e -p -8")
	sox := "sox -D -t raw -r 44100 -e signed -b 16 -c 2 - %s"
	add(sox, "-b 8 .wav", "-b 16 .wav", "-b 24 .wav", "-b 32 .wav", "-e float -b 32 .wav", "-e float -b 64 .wav", "-b 16 -B .wav", "-b 24 -B .wav", "-b 16 -c 1 .wav", "-b 16 -r 8000 .wav", "-e a-law .wav", "-e mu-law .wav",
		"-b 8 .aiff", "-b 16 .aiff", "-b 24 .aiff", "-b 32 .aiff", "-b 16 .aiffc", "-b 16 .flac", "-b 24 .flac", "-b 24 .w64", ".ogg", ".au")
	return all
}
