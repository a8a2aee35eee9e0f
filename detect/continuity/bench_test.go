package continuity

import (
	"math/rand/v2"
	"testing"
)

func BenchmarkMeter(b *testing.B) {
	rng := rand.New(rand.NewPCG(1, 2))
	audio := [][]float32{make([]float32, 30*44100), make([]float32, 30*44100)}
	for c := range audio {
		for i := range audio[c] {
			audio[c][i] = float32(rng.Float64() - 0.5)
		}
	}
	block := make([][]float32, 2)
	b.ReportAllocs()
	for b.Loop() {
		m := New(44100, 2)
		for range 12 { // six minutes
			for from := 0; from < len(audio[0]); from += 4096 {
				to := min(from+4096, len(audio[0]))
				block[0], block[1] = audio[0][from:to], audio[1][from:to]
				m.Write(block)
			}
		}
		m.Result(testGrid)
	}
}
