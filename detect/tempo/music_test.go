package tempo

import (
	"context"
	"math"
	"math/rand/v2"
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

// The development set, and each piece slower by three or faster by five semitones. All eleven
// pitches with DUBGAUGE_FULL.
func TestMusic(t *testing.T) {
	near, exact, moved, all := 0, 0, 0, 0
	for _, p := range developmentSet(t) {
		for k, r := range measured(t, p) {
			factor := math.Pow(2, float64(k)/12)
			close := count(octave(r.BPM, p.bpm*factor) <= 0.1)
			all++
			moved += close
			if close == 0 {
				t.Logf("%s by %+d semitones: %.3f BPM, want %.3f", p.name, k, r.BPM, p.bpm*factor)
			}
			if k == 0 {
				near += count(p.right(r.BPM))
				exact += close
				t.Logf("%s: %.3f BPM of %.0f, confidence %.2f, first beat %.3f s, drift %.2f %%", p.name, r.BPM, p.bpm, r.Confidence, r.FirstBeat, r.DriftPercent)
			}
		}
	}
	t.Logf("within 4 %%: %d of 12; within 0.1 BPM up to the octave: %d; at all pitches: %d of %d", near, exact, moved, all)
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
