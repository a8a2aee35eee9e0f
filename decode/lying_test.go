//go:build linux

package decode

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"syscall"
	"testing"
	"time"
)

// Bounds on a file whose sizes lie.
const (
	lyingMemory = 64 << 20    // bytes allocated in all, the block buffers included
	lyingTime   = time.Second // of processor time
)

// addressSpace is how much the subprocess may reserve beyond what it has when it
// begins, in bytes. Go reserves its heap in arenas of 64 MB with bookkeeping beside
// them, so the hard limit cannot be as low as lyingMemory; it stops the gigabytes.
const addressSpace = 256 << 20

// lyingResult is what the subprocess says of one file.
type lyingResult struct {
	Name   string
	Err    string // of Open or Read
	Kind   string // of Err, "" when it is not about the content
	Faults []string
	Frames int
	Equal  bool // as far as the shorter of the two goes, the samples are the original's
	CPU    time.Duration
	Memory uint64 // bytes allocated
}

// TestLyingSizes sets every length field of every format to values that are not
// true. A subprocess whose memory is limited must give a right error, or the right
// audio: whole, or with a fault that says what is missing.
func TestLyingSizes(t *testing.T) {
	wav, wavFields := builtWAV()
	rf64, rf64Fields := builtRF64()
	aiff, aiffFields := builtAIFF()
	flac, flacFields := builtFLAC(t)
	tagged, taggedFields := behindID3(flac, flacFields)
	taggedWAV, taggedWAVFields := behindID3(wav, wavFields)
	tests := []struct {
		name   string
		file   []byte
		fields []field
	}{
		{"wav", wav, wavFields}, {"rf64", rf64, rf64Fields}, {"aiff", aiff, aiffFields}, {"flac", flac, flacFields},
		{"flac-id3", tagged, taggedFields[:2]}, {"wav-id3", taggedWAV, taggedWAVFields[:2]},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			dir := t.TempDir()
			write(t, filepath.Join(dir, "original"), test.file)
			size := uint64(len(test.file))
			for i, f := range test.fields {
				for _, v := range []uint64{0, 1, 3, math.MaxInt32, math.MaxUint32, math.MaxUint64, size + 1, 100 * size} {
					b := append([]byte(nil), test.file...)
					f.put(b, v)
					write(t, filepath.Join(dir, fmt.Sprintf("%02d %s = %d", i, f.name, v)), b)
				}
			}
			for _, r := range runLyingChild(t, dir) {
				checkLying(t, r)
			}
		})
	}
}

func checkLying(t *testing.T, r lyingResult) {
	t.Helper()
	switch {
	case r.CPU > lyingTime:
		t.Errorf("%s: took %v", r.Name, r.CPU)
	case r.Memory > lyingMemory:
		t.Errorf("%s: allocated %d bytes", r.Name, r.Memory)
	case r.Err != "" && r.Kind == "":
		t.Errorf("%s: %s is no error of the content", r.Name, r.Err)
	case r.Err != "":
	case !r.Equal:
		t.Errorf("%s: the samples differ, faults %v", r.Name, r.Faults)
	case r.Frames != builtFrames && len(r.Faults) == 0:
		t.Errorf("%s: %d frames of %d, and no fault", r.Name, r.Frames, builtFrames)
	}
}

// runLyingChild decodes all files of dir in a process of its own.
func runLyingChild(t *testing.T, dir string) (results []lyingResult) {
	cmd := exec.Command(os.Args[0], "-test.run=^TestLyingChild$", "-test.v")
	cmd.Env = append(os.Environ(), "DUBGAUGE_LYING_DIR="+dir, "GODEBUG=", "GOMAXPROCS=2")
	out, err := cmd.CombinedOutput()
	if err != nil {
		t.Fatalf("the subprocess: %v\n%s", err, out)
	}
	for line := range strings.Lines(string(out)) {
		if text, ok := strings.CutPrefix(line, "RESULT "); ok {
			var r lyingResult
			if err := json.Unmarshal([]byte(text), &r); err != nil {
				t.Fatal(err)
			}
			results = append(results, r)
		}
	}
	files, err := os.ReadDir(dir)
	if err != nil || len(results) != len(files) {
		t.Fatalf("%d results for %d files, %v\n%s", len(results), len(files), err, out)
	}
	return results
}

// TestLyingChild is the subprocess.
func TestLyingChild(t *testing.T) {
	dir := os.Getenv("DUBGAUGE_LYING_DIR")
	if dir == "" {
		t.Skip("runs as a subprocess of TestLyingSizes")
	}
	_, want, _ := readWhole(t, filepath.Join(dir, "original"))
	files, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	t.Setenv("PATH", "") // ffmpeg's memory is not ours
	limitMemory(t)
	for _, f := range files {
		text, err := json.Marshal(lyingOne(filepath.Join(dir, f.Name()), want))
		if err != nil {
			t.Fatal(err)
		}
		fmt.Printf("RESULT %s\n", text)
	}
}

func limitMemory(t *testing.T) {
	var pages, rest uint64
	b, err := os.ReadFile("/proc/self/statm")
	if err == nil {
		_, err = fmt.Sscan(string(b), &pages, &rest)
	}
	if err != nil {
		t.Fatal(err)
	}
	most := pages*uint64(os.Getpagesize()) + addressSpace
	if err := syscall.Setrlimit(syscall.RLIMIT_AS, &syscall.Rlimit{Cur: most, Max: most}); err != nil {
		t.Fatal(err)
	}
}

func lyingOne(path string, want [][]float32) (r lyingResult) {
	r.Name, r.Equal = filepath.Base(path), true
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	began := cpuTime()
	defer func() {
		r.CPU = cpuTime() - began
		runtime.ReadMemStats(&after)
		r.Memory = after.TotalAlloc - before.TotalAlloc
	}()
	s, err := Open(context.Background(), path)
	if err == nil {
		defer s.Close()
		err = r.read(s, want)
		for _, f := range s.Faults() {
			r.Faults = append(r.Faults, f.Error())
		}
	}
	if err != io.EOF {
		r.Err = err.Error()
		var e *Error
		if errors.As(err, &e) {
			r.Kind = e.Kind.String()
		}
	}
	return r
}

// read compares the samples of s with those wanted.
func (r *lyingResult) read(s Stream, want [][]float32) error {
	dst := make([][]float32, s.Info().Channels)
	for c := range dst {
		dst[c] = make([]float32, 4096)
	}
	r.Equal = len(dst) == len(want)
	for {
		n, err := s.Read(dst)
		if err != nil {
			return err
		}
		for i := range n {
			at := r.Frames + i
			for c := range dst {
				if r.Equal && at < len(want[c]) && dst[c][i] != want[c][at] {
					r.Equal = false
				}
			}
		}
		r.Frames += n
	}
}

func cpuTime() time.Duration {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		return 0
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}
