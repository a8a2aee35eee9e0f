package mp3

import (
	"bytes"
	"io"
	"os"
	"os/exec"
	"testing"

	"dubgauge/decode/need"
)

const benchSeconds = 360

func benchFile(b *testing.B, args ...string) string {
	return encode(b, wavFile(b, "master", benchSeconds*44100, 44100, 2), args...)
}

// BenchmarkDecode decodes six minutes of a loud master; realtime is how many
// seconds of audio a second. Allocations are those of Open alone.
func BenchmarkDecode(b *testing.B) {
	for _, c := range []struct {
		name string
		args []string
	}{
		{"320", []string{"-b", "320"}},
		{"128", []string{"-b", "128"}},
		{"V2", []string{"-V", "2"}},
	} {
		b.Run(c.name, func(b *testing.B) {
			data := readFile(b, benchFile(b, c.args...))
			dst := [][]float32{make([]float32, 4608), make([]float32, 4608)}
			b.ReportAllocs()
			for b.Loop() {
				s, err := Open(io.NewSectionReader(bytes.NewReader(data), 0, int64(len(data))))
				if err != nil {
					b.Fatal(err)
				}
				for err == nil {
					_, err = s.Read(dst)
				}
			}
			b.ReportMetric(benchSeconds*float64(b.N)/b.Elapsed().Seconds(), "realtime")
		})
	}
}

// BenchmarkMpg123 is mpg123 on the same file in the same run, for comparison: user
// seconds of the process, to float.
func BenchmarkMpg123(b *testing.B) {
	path := benchFile(b, "-b", "320")
	program := need.Program(b, "mpg123")
	user := 0.0
	for b.Loop() {
		cmd := exec.Command(program, "-q", "-e", "f32", "-s", path)
		cmd.Stdout, _ = os.OpenFile(os.DevNull, os.O_WRONLY, 0)
		if err := cmd.Run(); err != nil {
			b.Fatal(err)
		}
		user += cmd.ProcessState.UserTime().Seconds()
	}
	b.ReportMetric(user/float64(b.N), "user-s/op")
}
