package flac

import (
	"bytes"
	"encoding/csv"
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"dubgauge/decode/need"
	"dubgauge/decode/stream"
)

// readAll decodes what is left of s and returns the samples of each channel.
func readAll(tb testing.TB, s stream.Stream) ([][]float32, error) {
	tb.Helper()
	out := make([][]float32, s.Info().Channels)
	dst := make([][]float32, len(out))
	for c := range dst {
		dst[c] = make([]float32, 1234)
	}
	for {
		n, err := s.Read(dst)
		for c := range out {
			out[c] = append(out[c], dst[c][:n]...)
		}
		if err == io.EOF {
			return out, nil
		}
		if err != nil {
			return out, err
		}
	}
}

func section(b []byte) *io.SectionReader {
	return io.NewSectionReader(bytes.NewReader(b), 0, int64(len(b)))
}

// TestVectors decodes files of the IETF cellar working group's decoder test bench
// (CC0) and holds each against expected.csv beside them.
func TestVectors(t *testing.T) {
	dir := filepath.Join(need.Checks(t), "flac")
	f, err := os.Open(filepath.Join(dir, "expected.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for _, row := range rows[1:] {
		t.Run(row[1], func(t *testing.T) { checkVector(t, filepath.Join(dir, row[0]), row[2]) })
	}
}

func checkVector(t *testing.T, path, expected string) {
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	s, err := Open(section(b), Options{Verify: true})
	if strings.HasPrefix(expected, "error: ") {
		var e *stream.Error
		if !errors.As(err, &e) || e.Kind.String() != strings.TrimPrefix(expected, "error: ") {
			t.Fatalf("got %v, want %s", err, expected)
		}
		return
	}
	if err != nil {
		t.Fatal(err)
	}
	got, err := readAll(t, s)
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("%+v, %d samples, faults %v", s.Info(), len(got[0]), s.Faults())
	switch {
	case strings.Contains(expected, "MD5 of the samples equals"):
		if v := s.(stream.Verifier).Verified(); v != stream.Matches {
			t.Errorf("the MD5 does not match: %v, faults %v", v, s.Faults())
		}
		// The MD5 is taken before silence stands in for what is lost: hold what Read
		// hands out to the declared length, too.
		if n := s.Info().Frames; n > 0 && int64(len(got[0])) != n && !named(s.Faults(), "STREAMINFO declares") {
			t.Errorf("%d samples were handed out, %d are declared", len(got[0]), n)
		}
	case strings.Contains(expected, "change of channels is named"):
		if !named(s.Faults(), "the sound changes from") {
			t.Errorf("the change is not named: %v", s.Faults())
		}
	default:
		t.Fatalf("no check for %q", expected)
	}
}

func named(faults []stream.Error, part string) bool {
	for _, f := range faults {
		if strings.Contains(f.Detail, part) {
			return true
		}
	}
	return false
}
