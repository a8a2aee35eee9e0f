package decode

import (
	"context"
	"io"
	"os"
	"os/exec"
	"testing"
)

// have skips a test that needs an external program which is not installed, but
// fails it where CI says that everything is.
func have(t testing.TB, program string) {
	t.Helper()
	if _, err := exec.LookPath(program); err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatalf("%s is not installed, and CI needs it", program)
		}
		t.Skipf("%s is not installed", program)
	}
}

// readWhole decodes a file that must open and give no error.
func readWhole(tb testing.TB, path string) (Info, [][]float32, []Error) {
	tb.Helper()
	s, err := OpenWith(context.Background(), path, Options{Verify: true})
	if err != nil {
		tb.Fatal(err)
	}
	defer s.Close()
	got, err := drain(s)
	if err != io.EOF {
		tb.Fatal(err)
	}
	return s.Info(), got, s.Faults()
}

// drain reads s to its end and returns the error that ended it.
func drain(s Stream) ([][]float32, error) {
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
		if err != nil {
			return out, err
		}
	}
}

func write(tb testing.TB, path string, b []byte) {
	tb.Helper()
	if err := os.WriteFile(path, b, 0o600); err != nil {
		tb.Fatal(err)
	}
}
