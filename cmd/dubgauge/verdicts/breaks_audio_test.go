package main

import (
	"context"
	"encoding/binary"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"dubgauge/cmd/dubgauge/sound"
	"dubgauge/cmd/dubgauge/studio"
	"dubgauge/decode"
	"dubgauge/detect/continuity"
	"dubgauge/detect/tempo"
)

// stereo is audio as the meters take it.
type stereo [2][]float32

func (x stereo) clone() stereo {
	return stereo{append([]float32(nil), x[0]...), append([]float32(nil), x[1]...)}
}

func (x stereo) seconds() float64 { return float64(len(x[0])) / sound.Rate }

// kept is a folder of masters, beats and encoded files, so that only the first run has
// to make them.
type kept struct{ dir string }

func (k kept) path(name, ending string) string { return filepath.Join(k.dir, name+ending) }

// master is the finished file of a Spec, in 16 bit.
func (k kept) master(m material, s Spec) (stereo, studio.Where, error) {
	var where studio.Where
	path, about := k.path(s.key(), ".s16"), k.path(s.key(), ".json")
	if b, err := os.ReadFile(path); err == nil && len(b) > 0 {
		text, err := os.ReadFile(about)
		if err == nil {
			err = json.Unmarshal(text, &where)
		}
		return unpacked(b), where, err
	}
	w, err := m.open(s)
	if err != nil {
		return stereo{}, where, err
	}
	if w.piece != nil {
		where = w.piece.Where
	}
	quantise(w.master, 16, s.Seed)
	text, err := json.Marshal(where)
	if err == nil {
		err = errors.Join(os.WriteFile(about, text, 0o600), os.WriteFile(path, packed(w.master), 0o600))
	}
	return single(w.master), where, err
}

func single(a sound.Audio) (x stereo) {
	for c, y := range [][]float64{a.L, a.R} {
		x[c] = make([]float32, len(y))
		for i, v := range y {
			x[c][i] = float32(v)
		}
	}
	return x
}

func double(x stereo) sound.Audio {
	a := sound.Audio{L: make([]float64, len(x[0])), R: make([]float64, len(x[0]))}
	for i := range x[0] {
		a.L[i], a.R[i] = float64(x[0][i]), float64(x[1][i])
	}
	return a
}

func packed(a sound.Audio) []byte { return bytesOf(single(a)) }

func bytesOf(x stereo) []byte {
	b := make([]byte, 0, 4*len(x[0]))
	for i := range x[0] {
		for c := range x {
			b = binary.LittleEndian.AppendUint16(b, uint16(int16(max(-32768, min(32767, math.Round(float64(x[c][i])*32768))))))
		}
	}
	return b
}

func unpacked(b []byte) (x stereo) {
	for c := range x {
		x[c] = make([]float32, len(b)/4)
		for i := range x[c] {
			x[c][i] = float32(int16(binary.LittleEndian.Uint16(b[4*i+2*c:]))) / 32768
		}
	}
	return x
}

// name is one for audio, by what is in it.
func name(x stereo) string {
	h := uint64(14695981039346656037) // FNV-1a, a sample at a time
	for c := range x {
		for _, v := range x[c] {
			h = (h ^ uint64(math.Float32bits(v+0))) * 1099511628211 // +0 makes 0 of -0
		}
	}
	return fmt.Sprintf("%016x", h)
}

// grid measures the beat of audio, as it is.
func (k kept) grid(x stereo) continuity.Grid {
	var g continuity.Grid
	path := k.path(name(x), ".bar")
	if text, err := os.ReadFile(path); err == nil && json.Unmarshal(text, &g) == nil {
		return g
	}
	m := tempo.New(sound.Rate, 2)
	blocks(x, m.Write)
	r := m.Result()
	if g = (continuity.Grid{BPM: r.BPM, FirstBeat: r.FirstBeat, Confidence: r.Confidence}); math.IsNaN(g.BPM) {
		g = continuity.Grid{}
	}
	if !math.IsNaN(r.FirstDownbeat) { // JSON has none
		g.FirstBar, g.BarKnown = r.FirstDownbeat, true
	}
	if text, err := json.Marshal(g); err == nil {
		os.WriteFile(path, text, 0o600)
	}
	return g
}

// blocks hands out audio as a decoder does.
func blocks(x stereo, write func([][]float32)) {
	const size = 4096
	for from := 0; from < len(x[0]); from += size {
		to := min(from+size, len(x[0]))
		write([][]float32{x[0][from:to], x[1][from:to]})
	}
}

// breaks is what the track's continuity shows with a beat.
func breaks(x stereo, g continuity.Grid) []continuity.Finding {
	m := continuity.New(sound.Rate, 2)
	blocks(x, m.Write)
	return m.Result(g)
}

// encoded takes audio through LAME and back.
func (k kept) encoded(t testing.TB, x stereo, kbps int) stereo {
	file := k.path(name(x), fmt.Sprintf(".%d.mp3", kbps))
	if _, err := os.Stat(file); err != nil {
		raw := k.path(name(x), ".raw")
		if err := os.WriteFile(raw, bytesOf(x), 0o600); err != nil {
			t.Fatal(err)
		}
		defer os.Remove(raw)
		out, err := exec.Command("lame", "--quiet", "-r", "-s", "44.1", "--bitwidth", "16", "-m", "j", "-b", fmt.Sprint(kbps), raw, file).CombinedOutput()
		if err != nil {
			t.Fatalf("lame: %v: %s", err, out)
		}
	}
	y, err := decoded(file)
	if err != nil {
		t.Fatal(err)
	}
	return y
}

// decoded reads a file; mono becomes two equal channels, and its rate is taken for the
// studio's.
func decoded(path string) (y stereo, err error) {
	s, err := decode.Open(context.Background(), path)
	if err != nil {
		return y, err
	}
	defer s.Close()
	buf := make([][]float32, s.Info().Channels)
	for c := range buf {
		buf[c] = make([]float32, 4096)
	}
	for {
		n, err := s.Read(buf)
		for c := range y {
			y[c] = append(y[c], buf[min(c, len(buf)-1)][:n]...)
		}
		switch {
		case err == io.EOF:
			return y, nil
		case err != nil:
			return y, err
		}
	}
}
