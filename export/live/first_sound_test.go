//go:build unix

package live

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"dubgauge/decode/need"
	"dubgauge/detect"
	"dubgauge/library"
)

// hourOf makes an MP3 of an hour out of a minute, 60 times over, and a library that has it. The
// minute is encoded without a tag and without a bit reservoir, and at 48 kHz, where frames of
// one bit rate have one length, so that the pieces join.
func hourOf(b *testing.B, args ...string) (*library.DB, int64) {
	b.Helper()
	const minutes = 60
	lame := need.Program(b, "lame")
	dir := b.TempDir()
	minute := sound{path: "minute.wav", rate: 48000, seconds: 60}
	minute.write(b, dir, 3)
	piece := filepath.Join(dir, "minute.mp3")
	c := exec.Command(lame, append(append([]string{"--quiet", "-t", "--nores"}, args...), filepath.Join(dir, minute.path), piece)...)
	if out, err := c.CombinedOutput(); err != nil {
		b.Fatalf("lame: %v\n%s", err, out)
	}
	data, err := os.ReadFile(piece)
	if err != nil {
		b.Fatal(err)
	}
	rec, err := library.Measure(b.Context(), piece)
	if err != nil {
		b.Fatal(err)
	}
	data = bytes.Repeat(data, minutes)
	if err := os.MkdirAll(filepath.Join(dir, "bag"), 0o755); err != nil {
		b.Fatal(err)
	}
	rec.Path = "set.mp3"
	if err := os.WriteFile(filepath.Join(dir, "bag", rec.Path), data, 0o644); err != nil {
		b.Fatal(err)
	}
	rec.File.SizeBytes, rec.File.DurationS = int64(len(data)), detect.Value(minutes)*rec.File.DurationS
	line, err := json.Marshal(rec)
	if err != nil {
		b.Fatal(err)
	}
	db := openDB(b, filepath.Join(dir, "x.db"))
	if _, err := library.ImportRecords(b.Context(), db, filepath.Join(dir, "bag"), strings.NewReader(string(line)+"\n")); err != nil {
		b.Fatal(err)
	}
	return db, named(b, db, rec.Path).ID
}

// BenchmarkFirstSound asks for the piece that is played first, at the beginning of an MP3 of an
// hour and at its end.
func BenchmarkFirstSound(b *testing.B) {
	for _, kind := range []struct{ name, args string }{{"CBR", "-b 320"}, {"VBR", "-V 0"}} {
		db, id := hourOf(b, strings.Fields(kind.args)...)
		s := New(db, Options{})
		for _, from := range []int{0, 3570} {
			b.Run(fmt.Sprintf("%s from %d s", kind.name, from), func(b *testing.B) {
				began := userTime(b)
				for b.Loop() {
					if w := hear(s, "/audio", id, fmt.Sprintf("from=%d&len=20", from)); w.Code != 200 {
						b.Fatal(w.Code, w.Body)
					}
				}
				b.ReportMetric((userTime(b)-began)*1000/float64(b.N), "user-ms/op")
			})
		}
	}
}

// userTime of the process in seconds; elapsed time says little where others work beside.
func userTime(b *testing.B) float64 {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		b.Fatal(err)
	}
	return float64(u.Utime.Sec) + float64(u.Utime.Usec)/1e6
}
