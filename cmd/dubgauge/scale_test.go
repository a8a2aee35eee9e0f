//go:build unix

package main

import (
	"bufio"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"syscall"
	"testing"
	"time"

	"dubgauge/library/madeup"
)

// BenchmarkScale is what the commands on a database cost by the size of the library:
// elapsed and processor seconds, and the most memory that the process held, each
// command in a process of its own. 50,000 tracks take some minutes to make and are
// asked for by DUBGAUGE_FULL=1. DEVELOPERS.md has the table.
//
//	go test -run '^$' -bench Scale -benchtime 1x ./cmd/dubgauge
func BenchmarkScale(b *testing.B) {
	sizes := []int{1000, 5000}
	if os.Getenv("DUBGAUGE_FULL") != "" {
		sizes = append(sizes, 50000)
	}
	for _, n := range sizes {
		dir := b.TempDir()
		db := filepath.Join(dir, "library.db")
		records := writeRecords(b, dir, n, n)
		b.Run(fmt.Sprintf("scan --from/%d", n), func(b *testing.B) {
			for b.Loop() {
				os.Remove(db)
				costs(b, db, "scan", "--from", records, dir)
			}
		})
		for _, c := range []struct {
			name string
			args []string
		}{
			{"first list", []string{"list"}},
			{"list", []string{"list"}},
			{"mark", []string{"mark", "#17", "--released"}},
			{"list after mark", []string{"list"}},
			{"show", []string{"show", "#17"}},
			{"export trims", []string{"export", "trims", "-o", filepath.Join(dir, "trims.csv")}},
			{"export tracks JSON", []string{"export", "tracks", "-o", filepath.Join(dir, "tracks.jsonl")}},
			{"report", []string{"report", "-o", filepath.Join(dir, "report.html")}},
		} {
			b.Run(fmt.Sprintf("%s/%d", c.name, n), func(b *testing.B) {
				for b.Loop() {
					costs(b, db, c.args...)
				}
			})
		}
		if fi, err := os.Stat(filepath.Join(dir, "report.html")); err == nil {
			b.Logf("%d tracks: the report has %.1f MB", n, float64(fi.Size())/1e6)
		}
	}
}

// BenchmarkCopies lists 2,000 records of the same audio.
func BenchmarkCopies(b *testing.B) {
	const n = 2000
	dir := b.TempDir()
	db := filepath.Join(dir, "library.db")
	costs(b, db, "scan", "--from", writeRecords(b, dir, n, 1), dir)
	b.ResetTimer()
	for b.Loop() {
		costs(b, db, "list")
	}
}

// writeRecords writes n records, of so many different tracks, and gives the file.
func writeRecords(b *testing.B, dir string, n, different int) string {
	b.Helper()
	path := filepath.Join(dir, "records.jsonl")
	f, err := os.Create(path)
	if err != nil {
		b.Fatal(err)
	}
	w := bufio.NewWriterSize(f, 1<<20)
	e := json.NewEncoder(w)
	for i := range n {
		r := madeup.Record(rand.New(rand.NewPCG(1, uint64(i%different))), i)
		r.Path = fmt.Sprintf("Folder %03d/Artist %d - Some Title (Original Mix) %d.wav", i/100, i%700, i)
		r.Measurement.File.SizeBytes = 50_000_000
		if err := e.Encode(&r); err != nil {
			b.Fatal(err)
		}
	}
	if err := w.Flush(); err != nil {
		b.Fatal(err)
	}
	if err := f.Close(); err != nil {
		b.Fatal(err)
	}
	return path
}

// costs runs the program and reports what it took.
func costs(b *testing.B, db string, args ...string) *os.ProcessState {
	b.Helper()
	exe, err := exec.LookPath("dubgauge") // put on the path by testscript.Main
	if err != nil {
		b.Fatal(err)
	}
	cmd := exec.Command(exe, append([]string{"--db", db}, args...)...)
	start := time.Now()
	if out, err := cmd.CombinedOutput(); err != nil && cmd.ProcessState.ExitCode() > 3 { // 3: some are held back
		b.Fatalf("%q: %v\n%s", args, err, out[:min(len(out), 1000)])
	}
	b.ReportMetric(time.Since(start).Seconds(), "s/op")
	b.ReportMetric(cmd.ProcessState.UserTime().Seconds()+cmd.ProcessState.SystemTime().Seconds(), "cpu-s/op")
	if u, ok := cmd.ProcessState.SysUsage().(*syscall.Rusage); ok {
		b.ReportMetric(float64(u.Maxrss)*maxrssUnit()/1e6, "MB/op")
	}
	b.ReportMetric(0, "ns/op")
	return cmd.ProcessState
}

// maxrssUnit is what getrusage(2) counts in, in bytes.
func maxrssUnit() float64 {
	if runtime.GOOS == "darwin" {
		return 1
	}
	return 1024
}
