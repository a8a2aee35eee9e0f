package flac

import (
	"bytes"
	"errors"
	"io"
	"math"
	"strconv"
	"strings"
	"testing"

	mewkiz "github.com/mewkiz/flac"

	"dubgauge/decode/stream"
)

// decodeAll opens and reads a file that must be readable to its end.
func decodeAll(tb testing.TB, file []byte) (stream.Stream, [][]float32) {
	tb.Helper()
	s, err := Open(section(file), Options{Verify: true})
	if err != nil {
		tb.Fatal(err)
	}
	got, err := readAll(tb, s)
	if err != nil {
		tb.Fatal(err)
	}
	return s, got
}

// equal holds that frames from to to have the values of samples, interleaved.
func equal(tb testing.TB, got [][]float32, samples []int32, bits, from, to int) {
	tb.Helper()
	for c := range got {
		for i := from; i < to; i++ {
			want := float32(float64(samples[i*len(got)+c]) / math.Exp2(float64(bits-1)))
			if got[c][i] != want {
				tb.Fatalf("channel %d frame %d is %v, want %v", c, i, got[c][i], want)
			}
		}
	}
}

// TestReferenceEncoder decodes what the reference encoder wrote, bit for bit, at
// every level and depth that it has.
func TestReferenceEncoder(t *testing.T) {
	const frames = 30_001
	tests := []struct {
		bits, channels int
		args           string
	}{
		{8, 2, "-5"}, {16, 1, "-8"}, {24, 2, "-8"}, {24, 6, "-5"}, {16, 8, "-3"},
		{16, 2, "-0"}, {16, 2, "-1"}, {16, 2, "-2"}, {16, 2, "-3"}, {16, 2, "-4"}, {16, 2, "-5"}, {16, 2, "-6"}, {16, 2, "-7"}, {16, 2, "-8"},
		{16, 2, "-8 -e -p"}, {16, 2, "--lax -l 32 -b 16384"}, {16, 2, "-b 16"}, {16, 2, "--lax -b 4608 -l 14"}, {24, 2, "--lax -l 24 -r 15"},
		{32, 1, "-8"}, {32, 2, "-8"}, {32, 2, "-0"},
	}
	for _, test := range tests {
		t.Run(strconv.Itoa(test.bits)+" "+strconv.Itoa(test.channels)+" "+test.args, func(t *testing.T) {
			samples := music(int64(test.bits), frames, test.channels, math.Exp2(float64(test.bits-1))*0.9)
			for i := range 3000 { // at full scale, where predictions overflow
				samples[i] = [2]int32{math.MaxInt32, math.MinInt32}[i/test.channels/50%2] >> (32 - test.bits)
			}
			s, got := decodeAll(t, encode(t, pack(samples, test.bits/8), test.bits, test.channels, strings.Fields(test.args)...))
			i := s.Info()
			if i.BitDepth != test.bits || i.Channels != test.channels || i.Frames != frames || len(got[0]) != frames || i.SampleRate != 44100 {
				t.Fatalf("%+v, %d frames", i, len(got[0]))
			}
			equal(t, got, samples, test.bits, 0, frames)
			if v := s.(stream.Verifier).Verified(); v != stream.Matches || len(s.Faults()) > 0 {
				t.Errorf("MD5 %v, faults %v", v, s.Faults())
			}
		})
	}
}

// TestLibrary compares with an independent decoder.
func TestLibrary(t *testing.T) {
	file := encode(t, pack(music(5, 50_000, 2, 30000), 2), 16, 2, "-8")
	_, got := decodeAll(t, file)
	lib, err := mewkiz.New(bytes.NewReader(file))
	if err != nil {
		t.Fatal(err)
	}
	at := 0
	for {
		f, err := lib.ParseNext()
		if err == io.EOF {
			break
		}
		if err != nil {
			t.Fatal(err)
		}
		for c := range got {
			for i, v := range f.Subframes[c].Samples {
				if got[c][at+i] != float32(v)/(1<<15) {
					t.Fatalf("channel %d frame %d differs", c, at+i)
				}
			}
		}
		at += int(f.BlockSize)
	}
	if at != len(got[0]) {
		t.Errorf("%d frames, the library has %d", len(got[0]), at)
	}
}

// frameOffsets finds the frames of a whole file.
func frameOffsets(tb testing.TB, file []byte) (offsets []int) {
	tb.Helper()
	s, err := Open(section(file), Options{})
	if err != nil {
		tb.Fatal(err)
	}
	r := s.(*reader)
	at, _, _ := r.src.metadataEnd()
	for {
		offsets = append(offsets, int(at))
		at = r.pos
		if r.next() != nil {
			return offsets
		}
	}
}

const block = 1024 // samples a frame, in the files that are damaged

// TestDamage spoils a file in many ways. What is left must be right and at its time.
func TestDamage(t *testing.T) {
	const frames = 40 * block
	samples := music(9, frames, 2, 30000)
	file := encode(t, pack(samples, 2), 16, 2, "-b", strconv.Itoa(block), "-8")
	at := frameOffsets(t, file)
	cut := func(from, to int) func() []byte {
		return func() []byte { return append(bytes.Clone(file[:from]), file[to:]...) }
	}
	overwrite := func(from, to int, with byte) func() []byte {
		return func() []byte {
			b := bytes.Clone(file)
			for i := from; i < to; i++ {
				b[i] = with
			}
			return b
		}
	}
	insert := func(where int, what []byte) func() []byte {
		return func() []byte { return append(append(bytes.Clone(file[:where]), what...), file[where:]...) }
	}
	tests := []struct {
		name     string
		file     func() []byte
		lostFrom int // first frame of the stretch of silence, or of the missing end
		lostTo   int
		frames   int
		kind     stream.Kind // of the first fault, 0 when there is none
		fault    string
		verified stream.Verification
	}{
		{"whole", insert(0, nil), 0, 0, 40, 0, "", stream.Matches},
		{"one bit", func() []byte { b := bytes.Clone(file); b[at[7]+300] ^= 4; return b }, 7, 8, 40, stream.Damaged, "0.02 s of music lost", stream.Differs},
		{"header of a frame", overwrite(at[7]+1, at[7]+4, 0), 7, 8, 40, stream.Damaged, "no frame header", stream.Differs},
		{"zeros over five frames", overwrite(at[10]+5, at[14]+9, 0), 10, 15, 40, stream.Damaged, "0.12 s of music lost", stream.Differs},
		{"ones over five frames", overwrite(at[10]+5, at[14]+9, 0xff), 10, 15, 40, stream.Damaged, "0.12 s of music lost", stream.Differs},
		{"frames cut out", cut(at[20], at[23]), 20, 23, 40, stream.Damaged, "frames are missing; 0.07 s", stream.Differs},
		{"bytes cut out", cut(at[20]+100, at[20]+101), 20, 21, 40, stream.Damaged, "0.02 s of music lost", stream.Differs},
		{"bytes put between", insert(at[30], bytes.Repeat([]byte{0xff, 0xf8, 0xc9, 0x18}, 500)), 0, 0, 40, stream.Damaged, "2000 bytes that cannot be read (no frame header); no music lost", stream.Matches},
		{"a frame twice", insert(at[30], file[at[29]:at[30]]), 0, 0, 0, stream.Damaged, "frame number 29 stands where another belongs", stream.Differs},
		{"first frame spoiled", overwrite(at[0]+20, at[0]+40, 0x55), 0, 1, 40, stream.Damaged, "0.02 s of music lost", stream.Differs},
		{"beginning cut off", cut(at[0], at[4]), 0, 0, 0, stream.Damaged, "the beginning is missing", stream.Differs},
		{"cut off between frames", cut(at[25], len(file)), 25, 25, 25, stream.Truncated, "declares 0.93 s, 0.58 s can be read", stream.Differs},
		{"cut off inside a frame", cut(at[25]+50, len(file)), 25, 25, 25, stream.Truncated, "declares 0.93 s, 0.58 s can be read", stream.Differs},
		{"ID3v1 behind", insert(len(file), append([]byte("TAG"), bytes.Repeat([]byte{0xff}, 125)...)), 0, 0, 40, 0, "", stream.Matches},
		{"zeros behind", insert(len(file), make([]byte, 5000)), 0, 0, 40, 0, "", stream.Matches},
		{"MD5 changed", func() []byte { b := bytes.Clone(file); b[30] ^= 1; return b }, 0, 0, 40, stream.Damaged, "have the MD5", stream.Differs},
		{"no MD5", overwrite(26, 42, 0), 0, 0, 40, 0, "", stream.NoChecksum},
		{"total not known", func() []byte { b := bytes.Clone(file); b[21] &= 0xf0; clear(b[22:26]); return b }, 0, 0, 40, 0, "", stream.Matches},
		{"total not known, cut off", func() []byte {
			b := bytes.Clone(file[:at[25]+50])
			b[21] &= 0xf0
			clear(b[22:26])
			return b
		}, 25, 25, 25, stream.Truncated, "the last frame is cut off", stream.Differs},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			s, got := decodeAll(t, test.file())
			faults := s.Faults()
			switch {
			case test.kind == 0 && len(faults) > 0:
				t.Errorf("faults %v", faults)
			case test.kind != 0 && (len(faults) != 1 || faults[0].Kind != test.kind || !strings.Contains(faults[0].Detail, test.fault)):
				t.Errorf("faults %v, want %v: %s", faults, test.kind, test.fault)
			case test.lostTo > test.lostFrom && math.Abs(faults[0].At-float64(test.lostFrom*block)/44100) > 1e-9:
				t.Errorf("the fault is placed at %v s", faults[0].At)
			}
			if v := s.(stream.Verifier).Verified(); v != test.verified {
				t.Errorf("MD5: %v, want %v", v, test.verified)
			}
			if test.frames == 0 {
				return
			}
			if len(got[0]) != test.frames*block {
				t.Fatalf("%d samples, want %d", len(got[0]), test.frames*block)
			}
			equal(t, got, samples, 16, 0, test.lostFrom*block)
			equal(t, got, samples, 16, test.lostTo*block, test.frames*block)
			for i := test.lostFrom * block; i < test.lostTo*block; i++ {
				if got[0][i] != 0 || got[1][i] != 0 {
					t.Fatalf("no silence at %d", i)
				}
			}
		})
	}
}

// TestFalseFrames holds that a file made of headers without frames is given up, not
// tried for ever.
func TestFalseFrames(t *testing.T) {
	file := encode(t, pack(music(9, 8*block, 2, 30000), 2), 16, 2, "-b", strconv.Itoa(block))
	at := frameOffsets(t, file)
	// A header of eight channels and 65535 samples, then a constant subframe each.
	h := []byte{0xff, 0xf8, 0x79, 0x78, 0, 0xff, 0xfe}
	h = append(h, crc8(h))
	for range 8 {
		h = append(h, 0, 0x12, 0x34)
	}
	h = append(h, 0, 0) // no CRC-16 of it
	bad := append(bytes.Clone(file[:at[4]]), bytes.Repeat(h, 100_000)...)
	s, err := Open(section(bad), Options{})
	if err != nil {
		t.Fatal(err)
	}
	got, err := readAll(t, s)
	var e *stream.Error
	if !errors.As(err, &e) || e.Kind != stream.Damaged || len(got[0]) != 4*block {
		t.Errorf("%d samples, %v", len(got[0]), err)
	}
}

// TestSilenceBound holds that a frame number cannot ask for hours of silence.
func TestSilenceBound(t *testing.T) {
	tl := newTimeline(header{block: 4096}, streamInfo{rate: 44100, minBlock: 4096, maxBlock: 4096})
	tl.done, tl.last = 4096, 0
	if gap, ok := tl.place(header{number: 1 << 30, block: 4096}); ok || gap > mostSilence*44100 {
		t.Errorf("%d samples of silence", gap)
	}
	tl.done, tl.last = 2*4096, 1<<30
	if gap, ok := tl.place(header{number: 1<<30 + 2, block: 4096}); !ok || gap != 4096 {
		t.Errorf("the numbers do not count on from where they jumped: %d, %v", gap, ok)
	}
}

var errMedium = errors.New("the medium failed")

// failing is a medium that can be read up to a byte.
type failing struct {
	b    []byte
	good int64
}

func (f failing) ReadAt(p []byte, off int64) (int, error) {
	if end := off + int64(len(p)); end > f.good {
		n := copy(p, f.b[min(off, f.good):f.good])
		return n, errMedium
	}
	return copy(p, f.b[off:]), nil
}

// TestMedium holds that what the medium says comes through from every place in the
// file, never as an error of the content.
func TestMedium(t *testing.T) {
	file := encode(t, pack(music(9, 8*block, 2, 30000), 2), 16, 2, "-b", strconv.Itoa(block))
	for good := int64(0); good < int64(len(file)); good += 37 {
		s, err := Open(io.NewSectionReader(failing{file, good}, 0, int64(len(file))), Options{})
		dst := [][]float32{make([]float32, 64), make([]float32, 64)}
		for err == nil {
			_, err = s.Read(dst)
		}
		var e *stream.Error
		if !errors.Is(err, errMedium) || errors.As(err, &e) {
			t.Fatalf("with %d bytes readable: %v", good, err)
		}
	}
}

// FuzzOpen holds that whatever the bytes, every sample is finite, there is never
// more sound than frames and bounded silence can give, and an error is one of the
// content.
func FuzzOpen(f *testing.F) {
	file := encode(f, pack(music(9, 3*block, 2, 30000), 2), 16, 2, "-b", strconv.Itoa(block))
	f.Add(file)
	f.Add(encode(f, pack(music(9, 500, 1, 1e9), 4), 32, 1, "-b", "192"))
	f.Add(append(bytes.Clone(file[:len(file)-50]), file[400:]...))
	f.Fuzz(func(t *testing.T, b []byte) {
		s, err := Open(section(b), Options{Verify: true})
		var n int64
		if err == nil {
			i := s.Info()
			if bad := stream.CheckShape(float64(i.SampleRate), i.Channels); bad != nil {
				t.Fatal(bad)
			}
			n, err = count(t, s)
			if most := (int64(len(b))/10+1)<<16 + mostSilence*int64(max(i.SampleRate, 1<<20)); n > most {
				t.Fatalf("%d samples from %d bytes", n, len(b))
			}
		}
		var e *stream.Error
		if err != nil && !errors.As(err, &e) {
			t.Fatalf("%v is no error of the content", err)
		}
	})
}

func count(tb testing.TB, s stream.Stream) (total int64, err error) {
	dst := make([][]float32, s.Info().Channels)
	for c := range dst {
		dst[c] = make([]float32, 8192)
	}
	for {
		n, err := s.Read(dst)
		for c := range dst {
			for _, v := range dst[c][:n] {
				if v-v != 0 {
					tb.Fatal("a sample that is not finite")
				}
			}
		}
		if total += int64(n); err == io.EOF {
			return total, nil
		} else if err != nil {
			return total, err
		}
	}
}
