package transfer

import (
	"math"
	"math/rand/v2"
	"testing"
)

func BenchmarkMeter(b *testing.B) {
	rng := rand.New(rand.NewPCG(1, 1))
	x := [][]float32{make([]float32, 60*44100), make([]float32, 60*44100)}
	for i := range x[0] {
		t := float64(i) / 44100
		v := 0.0
		for _, f := range []float64{55, 220, 277, 330, 440, 660, 880, 1320} {
			v += 0.1 * math.Sin(2*math.Pi*f*t)
		}
		for c := range x {
			x[c][i] = float32(v + 0.05*rng.NormFloat64())
		}
	}
	b.ReportAllocs()
	block := make([][]float32, 2)
	for b.Loop() {
		m := New(44100, 2)
		for range 6 {
			for from := 0; from < len(x[0]); from += 4096 {
				to := min(from+4096, len(x[0]))
				block[0], block[1] = x[0][from:to], x[1][from:to]
				m.Write(block)
			}
		}
		_ = m.Result(Beat{})
	}
}
