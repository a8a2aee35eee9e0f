package decode

import (
	"bytes"
	"context"
	"encoding/binary"
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

// tableFormat is a file that is damaged.
type tableFormat struct {
	name string
	file []byte
	head int
	sums float64 // least share named of what breaks sums or syntax
	slow bool    // each copy starts ffmpeg: fewer of them, but in a full run
}

// tableFormats have some five seconds of sound each.
func tableFormats(t *testing.T) []tableFormat {
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
	counted := filepath.Join(t.TempDir(), "t.mp3") // to a pipe lame states no count of frames
	run(t, raw, "lame", "--quiet", "-r", "-s", "44.1", "--bitwidth", "16", "-V", "2", "-", counted)
	withCount, err := os.ReadFile(counted)
	if err != nil {
		t.Fatal(err)
	}
	return []tableFormat{
		{"WAV", through("t.wav", "-bitexact"), 44, 0, false},
		{"AIFF", through("t.aiff", ""), 54, 0, false},
		{"FLAC", through("t.flac", ""), 8192, 1, false},
		{"MP3 320", mp3("-b 320"), 1044, 0.9, false},
		{"MP3 V2", mp3("-V 2"), 1044, 0.9, false},
		{"MP3 V2, frames counted", withCount, 1044, 1, false},
		{"MP3 128, no tag", mp3("-b 128 -t"), 417, 0.9, false},
		{"M4A, AAC", through("t.m4a", "-c:a aac -b:a 256k -movflags +faststart"), 4096, 0, true},
		{"Ogg Vorbis", through("t.ogg", "-c:a libvorbis -q:a 6"), 8192, 0, true},
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
// named and the share of the undamaged sound that is kept. The rows are made side by
// side, and printed in order.
func TestTable(t *testing.T) {
	n, full := tableSeeds(t)
	formats := tableFormats(t)
	rows := make([][]tableRow, len(formats))
	t.Run("rows", func(t *testing.T) {
		for i, f := range formats {
			path := filepath.Join(t.TempDir(), "t")
			write(t, path, f.file)
			_, clean, faults := readWhole(t, path)
			if len(faults) > 0 {
				t.Fatalf("%s: faults %v in the whole file", f.name, faults)
			}
			copies := n
			if f.slow && !full {
				copies = 1
			}
			rows[i] = make([]tableRow, len(injuries))
			for k, in := range injuries {
				t.Run(f.name+", "+in.name, func(t *testing.T) {
					t.Parallel()
					path := filepath.Join(t.TempDir(), "t")
					for seed := range copies {
						rows[i][k].try(t, path, clean, f.file, f.head, in, seed)
					}
					rows[i][k].hold(t, &f, &in)
				})
			}
		}
	})
	for i, f := range formats {
		for k, in := range injuries {
			r := rows[i][k]
			t.Logf("| %s | %s | %d | %.1f %% | %.1f %% |", f.name, in.name, r.copies, 100*float64(r.named)/float64(r.copies), 100*r.kept/float64(r.copies))
		}
	}
}

// hold holds a row against what must be named and kept. What ffmpeg makes of damage
// is its own affair; that it is damaged must be said.
func (r *tableRow) hold(t *testing.T, f *tableFormat, in *injury) {
	t.Helper()
	least := map[string]float64{"all": 1, "sums": f.sums}[in.shows]
	if strings.HasPrefix(f.name, "MP3") && !strings.Contains(f.name, "counted") {
		// Most of these files state no count of frames: one that is cut between two
		// frames, or whose zeros can be frames' own, looks whole.
		least = min(least, f.sums)
	}
	if float64(r.named) < least*float64(r.copies) {
		t.Errorf("%d of %d named", r.named, r.copies)
	}
	if !f.slow && r.kept < keptLeast*float64(r.copies) {
		t.Errorf("%.3f of the undamaged sound kept", r.kept/float64(r.copies))
	}
}
