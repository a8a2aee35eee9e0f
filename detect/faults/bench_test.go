package faults

import (
	"testing"

	"dubgauge/decode/stream"
)

func BenchmarkChunks(b *testing.B) {
	x := gridNoise(1 << 18)
	block := make([][]float32, 2)
	for c := range block {
		for i, v := range x {
			block[c] = append(block[c], float32(v*x[(i+c)/300]))
		}
	}
	b.ReportAllocs()
	for b.Loop() {
		m := New(stream.Info{SampleRate: 44100, Channels: 2, BitDepth: 16})
		for from := 0; from < len(x); from += 4096 {
			m.Write([][]float32{block[0][from : from+4096], block[1][from : from+4096]})
		}
	}
}
