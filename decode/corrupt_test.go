package decode

import (
	"bytes"
	"encoding/binary"
	"errors"
	"io"
	"math/rand"
	"os"
	"path/filepath"
	"runtime"
	"strconv"
	"testing"
	"time"

	"dubgauge/decode/need"
)

// seeds is how many corrupted copies of each format are tried. DUBGAUGE_SEEDS sets
// another number: the full run has 1000.
func seeds(t *testing.T) int {
	n, err := strconv.Atoi(os.Getenv("DUBGAUGE_SEEDS"))
	if err != nil {
		return 60
	}
	t.Logf("%d copies", n)
	return n
}

// Bounds on a corrupted copy.
const (
	// corruptTime is a guard against hanging: a copy takes milliseconds, but machines
	// that run tests stall for seconds at a time.
	corruptTime   = time.Minute
	corruptMemory = 300 << 20 // bytes that Go has from the system
)

// corruption is one way of spoiling a file. head is the length of its header.
type corruption struct {
	name  string
	apply func(rng *rand.Rand, b []byte, head int) []byte
	// shortens says that it changes the length of the content, which every format
	// can tell.
	shortens bool
}

var corruptions = []corruption{
	{"bytes of the header", func(rng *rand.Rand, b []byte, head int) []byte {
		for range 1 + rng.Intn(8) {
			b[rng.Intn(head)] = byte(rng.Intn(256))
		}
		return b
	}, false},
	{"bytes of the body", func(rng *rand.Rand, b []byte, head int) []byte {
		for range 1 + rng.Intn(16) {
			b[head+rng.Intn(len(b)-head)] = byte(rng.Intn(256))
		}
		return b
	}, false},
	{"cut off", func(rng *rand.Rand, b []byte, _ int) []byte { return b[:rng.Intn(len(b))] }, true},
	{"a stretch taken out", func(rng *rand.Rand, b []byte, head int) []byte {
		from := head + rng.Intn(len(b)-head-100)
		to := from + 50 + rng.Intn(min(20_000, len(b)-from-50))
		return append(b[:from], b[to:]...)
	}, true},
	{"a stretch of zeros", func(rng *rand.Rand, b []byte, head int) []byte {
		from := rng.Intn(len(b) - 100)
		clear(b[from : from+rng.Intn(min(20_000, len(b)-from))])
		return b
	}, false},
	{"a stretch of noise", func(rng *rand.Rand, b []byte, head int) []byte {
		from := head + rng.Intn(len(b)-head-100)
		rng.Read(b[from : from+rng.Intn(min(5000, len(b)-from))])
		return b
	}, false},
	{"noise put in", func(rng *rand.Rand, b []byte, head int) []byte {
		at := head + rng.Intn(len(b)-head)
		noise := make([]byte, 100+rng.Intn(3000))
		rng.Read(noise)
		return append(b[:at:at], append(noise, b[at:]...)...)
	}, false},
}

// TestCorrupted opens and reads spoiled copies: no panic, bounded time and memory,
// and no wrong audio passed off as whole. FLAC proves every sample by checksums; WAV
// and AIFF have none, so there a change of length must be noticed.
func TestCorrupted(t *testing.T) {
	wav, _ := builtWAV()
	rf64, _ := builtRF64()
	aiff, _ := builtAIFF()
	flac, _ := builtFLAC(t)
	mp3 := lame(t, "-b", "128")
	tests := []struct {
		name    string
		file    []byte
		head    int
		checked bool // has checksums over all that is heard
		share   int  // one copy in so many
	}{
		{"wav", wav, 66, false, 1}, {"rf64", rf64, 104, false, 1}, {"aiff", aiff, 64, false, 1},
		{"flac", flac, 42, true, 1}, {"mp3", mp3, 40, false, 4}, {"m4a", m4a(t), 200, false, 60},
	}
	n := seeds(t)
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			s, err := openBytes(t, test.file, Options{Verify: true})
			if err != nil {
				t.Fatal(err)
			}
			want, err := drain(s)
			if err != io.EOF {
				t.Fatal(err)
			}
			path := filepath.Join(t.TempDir(), "t")
			for seed := range n / test.share {
				rng := rand.New(rand.NewSource(int64(seed)))
				c := corruptions[seed%len(corruptions)]
				b := c.apply(rng, bytes.Clone(test.file), test.head)
				if bytes.Equal(b, test.file) {
					continue
				}
				write(t, path, b)
				checkCorrupted(t, path, test.name+", "+c.name+", seed "+strconv.Itoa(seed), s.Info(), want, test.checked, c.shortens && test.share == 1)
			}
			var m runtime.MemStats
			if runtime.ReadMemStats(&m); m.Sys > corruptMemory {
				t.Errorf("%d MB of memory", m.Sys>>20)
			}
		})
	}
}

func checkCorrupted(t *testing.T, path, what string, info Info, want [][]float32, checked, shortened bool) {
	t.Helper()
	began := time.Now()
	s, err := OpenWith(t.Context(), path, Options{Verify: true})
	var got [][]float32
	if err == nil {
		got, err = drain(s)
		defer s.Close()
	}
	if took := time.Since(began); took > corruptTime {
		t.Errorf("%s: took %v", what, took)
	}
	var e *Error
	if err != io.EOF && !errors.As(err, &e) {
		t.Fatalf("%s: %v is no error of the content", what, err)
	}
	if err != io.EOF || len(s.Faults()) > 0 {
		return // named
	}
	switch {
	case checked && (s.Info().SampleRate != info.SampleRate || !sameSamples(got, want)):
		t.Errorf("%s: other audio, and nothing is named: %+v", what, s.Info())
	case shortened && !sameSamples(got, want):
		t.Errorf("%s: %d frames instead of %d, and nothing is named", what, len(got[0]), len(want[0]))
	}
}

func sameSamples(a, b [][]float32) bool {
	if len(a) != len(b) {
		return false
	}
	for c := range a {
		if len(a[c]) != len(b[c]) {
			return false
		}
		for i, v := range a[c] {
			if v != b[c][i] {
				return false
			}
		}
	}
	return true
}

func m4a(tb testing.TB) []byte {
	need.Program(tb, "ffmpeg")
	path := filepath.Join(tb.TempDir(), "t.m4a")
	raw, _ := binary.Append(nil, binary.LittleEndian, sample16(44100, 2))
	run(tb, raw, "ffmpeg", "-loglevel", "error", "-f", "s16le", "-ar", "44100", "-ac", "2", "-i", "pipe:0", "-c:a", "aac", path)
	b, err := os.ReadFile(path)
	if err != nil {
		tb.Fatal(err)
	}
	return b
}
