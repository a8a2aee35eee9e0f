package tempo

import (
	"maps"
	"math"
	"slices"
	"testing"
)

// bpmTolerance is what the tempo of a steady track must be exact to.
const bpmTolerance = 0.05

func measure(x [][]float32, rate int) Result {
	m := New(rate, len(x))
	m.Write(x)
	return m.Result()
}

func TestTempoOfGrooves(t *testing.T) {
	for i, name := range slices.Sorted(maps.Keys(grooves)) {
		for j, bpm := range []float64{127.3, 139.2} {
			if !full() && i%2 != j {
				continue
			}
			s := song{groove: grooves[name], bpm: bpm, seconds: 60, vary: 0.06, breaks: true, seed: uint64(10*i + j)}
			r := measure(s.render(), synthRate)
			t.Logf("%-24s want %5.1f got %7.3f confidence %.2f", name, bpm, r.BPM, r.Confidence)
			if math.Abs(r.BPM-bpm) > bpmTolerance {
				t.Errorf("%s: %.3f BPM, want %.1f", name, r.BPM, bpm)
			}
		}
	}
}

func TestNoTempo(t *testing.T) {
	for _, seconds := range []float64{0, 0.01, 30} {
		n := int(seconds * synthRate)
		if r := measure([][]float32{make([]float32, n), make([]float32, n)}, synthRate); !math.IsNaN(r.BPM) {
			t.Errorf("%.2f s of silence: %+v", seconds, r)
		}
	}
}
