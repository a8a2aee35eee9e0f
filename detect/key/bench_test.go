package key

import (
	"math"
	"testing"
)

// BenchmarkTrack measures a stereo track of 6 minutes at 44.1 kHz, written in
// blocks of 4096 samples.
func BenchmarkTrack(b *testing.B) {
	const rate, seconds, size = 44100, 360, 4096
	x := tune{bpm: 126, timbre: saw, notes: chordLoops[5].notes, beats: 16, seconds: 16, drums: fourOnTheFloor(4)}.render(rate)
	other := make([]float32, len(x))
	copy(other, x[10:]) // not quite the same on the right
	b.ReportAllocs()
	for b.Loop() {
		m := New(rate, 2)
		for done := 0; done < seconds*rate; done += size {
			at := done % (len(x) - size)
			m.Write([][]float32{x[at : at+size], other[at : at+size]})
		}
		if r := m.Result(); !r.Exists() || math.IsNaN(r.TuningCents) {
			b.Fatal("no key")
		}
	}
}

// BenchmarkWrite measures one block, which must not allocate.
func BenchmarkWrite(b *testing.B) {
	x := tune{bpm: 126, timbre: saw, notes: chordLoops[5].notes, beats: 16, seconds: 1}.render(44100)[:4096]
	m := New(44100, 2)
	block := [][]float32{x, x}
	b.ReportAllocs()
	b.SetBytes(2 * 4 * 4096)
	for b.Loop() {
		m.Write(block)
	}
}
