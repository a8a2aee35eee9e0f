package decode

import (
	"bytes"
	"context"
	"io"
	"math/rand"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
)

// have skips a test that needs an external program which is not installed, but
// fails it where CI says that everything is.
func have(t *testing.T, program string) {
	t.Helper()
	if _, err := exec.LookPath(program); err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatalf("%s is not installed, and CI needs it", program)
		}
		t.Skipf("%s is not installed", program)
	}
}

func readAll(t *testing.T, path string) (Info, [][]float32) {
	t.Helper()
	s, err := Open(context.Background(), path)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	out := make([][]float32, s.Info().Channels)
	dst := make([][]float32, len(out))
	for c := range dst {
		dst[c] = make([]float32, 1000)
	}
	for {
		n, err := s.Read(dst)
		for c := range out {
			out[c] = append(out[c], dst[c][:n]...)
		}
		if err == io.EOF {
			return s.Info(), out
		}
		if err != nil {
			t.Fatal(err)
		}
	}
}

// TestOpen gives sox noise of 24 bits to write in each format and reads the same
// samples back.
func TestOpen(t *testing.T) {
	have(t, "sox")
	const frames = 44100
	raw := make([]byte, frames*6)
	rand.New(rand.NewSource(1)).Read(raw)
	for _, name := range []string{"t.wav", "t.aiff", "t.flac"} {
		t.Run(name, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), name)
			cmd := exec.Command("sox", "-D", "-t", "raw", "-r", "44100", "-e", "signed", "-b", "24", "-c", "2", "-", path)
			cmd.Stdin = bytes.NewReader(raw)
			if out, err := cmd.CombinedOutput(); err != nil {
				t.Fatalf("sox: %v\n%s", err, out)
			}
			info, got := readAll(t, path)
			if info.SampleRate != 44100 || info.Channels != 2 || info.BitDepth != 24 || info.Frames != frames || len(got[0]) != frames {
				t.Fatalf("%+v, %d read", info, len(got[0]))
			}
			for i := range frames * 2 {
				b := raw[i*3:]
				want := float32(int32(uint32(b[0])<<8|uint32(b[1])<<16|uint32(b[2])<<24)>>8) / (1 << 23)
				if v := got[i%2][i/2]; v != want {
					t.Fatalf("sample %d is %v, want %v", i, v, want)
				}
			}
		})
	}
}
