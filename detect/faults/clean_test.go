package faults

import (
	"math/rand/v2"
	"testing"
)

func TestCleanMusicHasNoFaults(t *testing.T) {
	for seed := range uint64(2) {
		rng := rand.New(rand.NewPCG(seed, 3))
		r := run(wav(44100, 2), quantise(music(seed, 44100, 20, 21000, 0.95), rng))
		want(t, r)
		if r.ClippedRuns != 0 || r.Fingerprint == "" {
			t.Errorf("seed %d: %d clipped runs, fingerprint %q", seed, r.ClippedRuns, r.Fingerprint)
		}
	}
}

func BenchmarkMeter(b *testing.B) {
	audio := music(1, 44100, 30, 20000, 0.9)
	block := make([][]float32, 2)
	b.ReportAllocs()
	for b.Loop() {
		m := New(wav(44100, 2))
		for range 12 { // six minutes
			for from := 0; from < len(audio[0]); from += 4096 {
				to := min(from+4096, len(audio[0]))
				block[0], block[1] = audio[0][from:to], audio[1][from:to]
				m.Write(block)
			}
		}
		m.Result()
	}
}
