package tempo

import (
	"context"
	"encoding/csv"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"dubgauge/decode"
)

func decoded(t *testing.T, path string) ([][]float32, int) {
	s, err := decode.Open(context.Background(), path)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	n := s.Info().Channels
	all, block := make([][]float32, n), make([][]float32, n)
	for c := range block {
		block[c] = make([]float32, 4096)
	}
	for {
		n, err := s.Read(block)
		for c := range all {
			all[c] = append(all[c], block[c][:n]...)
		}
		if err != nil {
			return all, s.Info().SampleRate
		}
	}
}

// octave is by how much got differs from want, in BPM, read at the octave
// where that is least.
func octave(got, want float64) float64 {
	return min(math.Abs(got-want), math.Abs(got/2-want), math.Abs(got*2-want))
}

// The development set, and each piece faster and slower by up to five
// semitones: the same samples said to be at another rate are exactly what
// resampling by that factor and playing at the old rate gives.
func TestMusic(t *testing.T) {
	dir := os.Getenv("DUBGAUGE_CHECKS")
	if dir == "" {
		t.Skip("DUBGAUGE_CHECKS does not name the folder of check files")
	}
	f, err := os.Open(filepath.Join(dir, "music", "truth.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	near, exact, moved, all := 0, 0, 0, 0
	for _, row := range rows[1:] {
		bpm, _ := strconv.ParseFloat(row[1], 64)
		x, rate := decoded(t, filepath.Join(dir, "music", row[0]))
		r := measure(x, rate)
		felt := strings.Contains(row[3], "felt")
		if math.Abs(r.BPM/bpm-1) < 0.04 || felt && math.Abs(2*r.BPM/bpm-1) < 0.04 {
			near++
		}
		if octave(r.BPM, bpm) <= 0.1 {
			exact++
		}
		t.Logf("%s: %.3f BPM of %.0f, confidence %.2f, first beat %.3f s, drift %.2f %%", row[0], r.BPM, bpm, r.Confidence, r.FirstBeat, r.DriftPercent)
		if testing.Short() {
			continue
		}
		for _, k := range []float64{-5, -2, 3, 5} {
			factor := math.Pow(2, k/12)
			all++
			if octave(measure(x, int(math.Round(float64(rate)*factor))).BPM, bpm*factor) <= 0.1 {
				moved++
			}
		}
	}
	t.Logf("within 4 %%: %d of 12; within 0.1 BPM up to the octave: %d; moved in pitch: %d of %d", near, exact, moved, all)
	if near < 11 || exact < 12 || float64(moved) < 0.95*float64(all) {
		t.Error("fewer than the task asks for")
	}
}

func TestNoise(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 1))
	white, bursts := make([]float32, 60*synthRate), make([]float32, 60*synthRate)
	level := 0.0
	for i := range white {
		white[i] = float32(0.2 * rng.NormFloat64())
		if rng.Float64() < 5.0/synthRate { // syllables at random, five a second
			level = 0.1 + 0.4*rng.Float64()
		}
		level *= 1 - 12.0/synthRate
		bursts[i] = float32(level * rng.NormFloat64())
	}
	for name, x := range map[string][]float32{"white noise": white, "speech-like bursts": bursts} {
		if r := measure([][]float32{x, x}, synthRate); !math.IsNaN(r.BPM) || r.Confidence > least {
			t.Errorf("%s: %.2f BPM, confidence %.2f", name, r.BPM, r.Confidence)
		}
	}
}

func BenchmarkSixMinutes(b *testing.B) {
	x := song{groove: grooves["broken beat"], bpm: 127.3, seconds: 60}.render()
	b.ReportAllocs()
	for b.Loop() {
		m := New(synthRate, 2)
		for range 6 {
			m.Write(x)
		}
		m.Result()
	}
}
