//go:build unix

package main

import (
	"bufio"
	"encoding/binary"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"syscall"
	"testing"

	"dubgauge/decode/need"
)

// setMB is the most that a scan of a set of two hours may take with one worker, the whole
// process, in MB of 10^6 bytes.
const setMB = 80

// BenchmarkSet scans a set of two hours as WAV, FLAC and MP3, each with one worker in a
// process of its own, and fails where that takes more than setMB. The file takes 1.3 GB and
// minutes to make: DUBGAUGE_FULL=1 asks for it.
//
//	DUBGAUGE_FULL=1 go test -run '^$' -bench Set -benchtime 1x -timeout 60m ./cmd/dubgauge
func BenchmarkSet(b *testing.B) {
	if os.Getenv("DUBGAUGE_FULL") == "" {
		b.Skip("set DUBGAUGE_FULL to make and scan 1.3 GB")
	}
	dir := b.TempDir()
	wav := filepath.Join(dir, "wav", "set.wav")
	writeSet(b, wav, 120)
	for _, c := range []struct {
		name, program string
		args          []string
	}{
		{"wav", "", nil},
		{"flac", "flac", []string{"-s", "-0", "-o", filepath.Join(dir, "flac", "set.flac"), wav}},
		{"mp3", "lame", []string{"--quiet", "-q", "9", "-b", "192", wav, filepath.Join(dir, "mp3", "set.mp3")}},
	} {
		b.Run(c.name, func(b *testing.B) {
			if c.program != "" {
				need.Program(b, c.program)
				os.Mkdir(filepath.Join(dir, c.name), 0o755)
				if out, err := exec.Command(c.program, c.args...).CombinedOutput(); err != nil {
					b.Fatalf("%v\n%s", err, out)
				}
			}
			for b.Loop() {
				state := costs(b, filepath.Join(dir, c.name+".db"), "scan", "--again", "--workers", "1", filepath.Join(dir, c.name))
				if u, ok := state.SysUsage().(*syscall.Rusage); ok && float64(u.Maxrss)*maxrssUnit()/1e6 > setMB {
					b.Errorf("%.1f MB, %d allowed", float64(u.Maxrss)*maxrssUnit()/1e6, setMB)
				}
			}
		})
	}
}

// writeSet writes minutes of kicks, bass, a chord and hats as 16 bit stereo, each minute at a
// tempo and a level of its own.
func writeSet(b *testing.B, path string, minutes int) {
	b.Helper()
	const rate = 44100
	os.Mkdir(filepath.Dir(path), 0o755)
	f, err := os.Create(path)
	if err != nil {
		b.Fatal(err)
	}
	defer f.Close()
	w := bufio.NewWriterSize(f, 1<<20)
	bytes := uint32(minutes * 60 * rate * 4)
	w.WriteString("RIFF")
	binary.Write(w, binary.LittleEndian, bytes+36)
	w.WriteString("WAVEfmt ")
	for _, v := range []any{uint32(16), uint16(1), uint16(2), uint32(rate), uint32(rate * 4), uint16(4), uint16(16)} {
		binary.Write(w, binary.LittleEndian, v)
	}
	w.WriteString("data")
	binary.Write(w, binary.LittleEndian, bytes)
	r := rand.New(rand.NewPCG(1, 2))
	var frame [4]byte
	for minute := range minutes {
		beat, gain := 60/(122+float64(minute%9)), 0.9-0.05*float64(minute%5)
		for i := range 60 * rate {
			t := float64(i) / rate
			in := math.Mod(t, beat)
			v := math.Exp(-in*12)*math.Sin(2*math.Pi*(50*in+3*(1-math.Exp(-in*30)))) + 0.4*min(1, in*4)*math.Sin(2*math.Pi*55*t)
			v += 0.08 * (math.Sin(2*math.Pi*440*t) + math.Sin(2*math.Pi*523.3*t))
			hat := 0.3 * math.Exp(-math.Mod(t+beat/2, beat)*40)
			for c := range 2 {
				x := gain * max(-1, min(1, v+hat*r.NormFloat64()))
				binary.LittleEndian.PutUint16(frame[2*c:], uint16(int16(32767*x)))
			}
			w.Write(frame[:])
		}
	}
	if err := w.Flush(); err != nil {
		b.Fatal(err)
	}
}
