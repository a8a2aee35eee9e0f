package flac

import (
	"bytes"
	"io"
	"math"
	"math/rand"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"testing"

	mewkiz "github.com/mewkiz/flac"

	"dubgauge/decode/need"
	"dubgauge/decode/stream"
)

// music is made of a few decaying tones and noise, as interleaved integers.
func music(seed int64, frames, channels int, amplitude float64) []int32 {
	rng := rand.New(rand.NewSource(seed))
	out := make([]int32, frames*channels)
	var noise float64
	for i := range frames {
		t := float64(i) / 44100
		beat := math.Exp(-math.Mod(t, 0.5) * 8)
		noise = 0.8*noise + 0.2*rng.NormFloat64()
		for c := range channels {
			v := 0.5*beat*math.Sin(2*math.Pi*55*t) + 0.2*math.Sin(2*math.Pi*(440+3*float64(c))*t) + 0.05*noise
			out[i*channels+c] = int32(v * amplitude)
		}
	}
	return out
}

// pack writes samples little-endian in size bytes each.
func pack(samples []int32, size int) []byte {
	b := make([]byte, 0, len(samples)*size)
	for _, v := range samples {
		for k := range size {
			b = append(b, byte(v>>(8*k)))
		}
	}
	return b
}

// encode has the reference encoder write raw samples of bits, which must fill
// whole bytes.
func encode(tb testing.TB, raw []byte, bits, channels int, args ...string) []byte {
	tb.Helper()
	need.Program(tb, "flac")
	path := filepath.Join(tb.TempDir(), "t.flac") // a file, into which the encoder can write the MD5 at the end
	args = append([]string{"--silent", "-o", path, "--force-raw-format", "--endian=little", "--sign=signed",
		"--sample-rate=44100", "--bps=" + strconv.Itoa(bits), "--channels=" + strconv.Itoa(channels)}, args...)
	cmd := exec.Command("flac", append(args, "-")...)
	cmd.Stdin = bytes.NewReader(raw)
	if out, err := cmd.CombinedOutput(); err != nil {
		tb.Fatalf("flac: %v\n%s", err, out)
	}
	b, err := os.ReadFile(path)
	if err != nil {
		tb.Fatal(err)
	}
	return b
}

func BenchmarkDecode(b *testing.B) {
	const frames = 44100 * 20
	for _, bits := range []int{16, 24} {
		file := encode(b, pack(music(1, frames, 2, math.Exp2(float64(bits-1))*0.9), bits/8), bits, 2, "-8")
		dst := [][]float32{make([]float32, 4096), make([]float32, 4096)}
		b.Run(strconv.Itoa(bits), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				s, err := Open(section(file), Options{})
				if err != nil {
					b.Fatal(err)
				}
				drain(b, s, dst)
			}
			b.ReportMetric(20*float64(b.N)/b.Elapsed().Seconds(), "x_realtime")
		})
		b.Run("library"+strconv.Itoa(bits), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				s, err := mewkiz.New(bytes.NewReader(file))
				for err == nil {
					_, err = s.ParseNext()
				}
				if err != io.EOF {
					b.Fatal(err)
				}
			}
			b.ReportMetric(20*float64(b.N)/b.Elapsed().Seconds(), "x_realtime")
		})
	}
}

func drain(tb testing.TB, s stream.Stream, dst [][]float32) {
	for {
		if _, err := s.Read(dst); err != nil {
			if err != io.EOF {
				tb.Fatal(err)
			}
			return
		}
	}
}
