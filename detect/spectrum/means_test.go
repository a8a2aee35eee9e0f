package spectrum

import (
	"math"
	"testing"
)

// TestMeansOfLongTracks: the mean over any window of a track that is held in longer steps
// is, but for its edges, that of all its steps; the whole is exact.
func TestMeansOfLongTracks(t *testing.T) {
	value := func(i, j int) float64 { return float64(j+1) * (2 + math.Sin(float64(i)/40)) }
	for _, c := range []struct{ n, held, fold int }{
		{mostMeans - 1, mostMeans - 1, 1}, {mostMeans, mostMeans / 2, 2}, {mostMeans + 3, mostMeans/2 + 1, 2},
		{2 * mostMeans, mostMeans / 2, 4}, {2*mostMeans + 44, mostMeans/2 + 11, 4},
	} {
		m := means{width: 2}
		for i := range c.n {
			m.add([]float64{value(i, 0), value(i, 1)})
		}
		if len(m.values) != 2*c.held || m.fold() != c.fold {
			t.Errorf("%d steps: %d held, %d in one", c.n, len(m.values)/2, m.fold())
		}
		for _, w := range [][2]int{{0, c.n}, {1000, 1080}, {c.n - 100, c.n - 20}, {c.n - 1, c.n}} {
			got := m.over(float64(w[0]), float64(w[1]))
			for j := range got {
				want := 0.0
				for i := w[0]; i < w[1]; i++ {
					want += value(i, j) / float64(w[1]-w[0])
				}
				tolerance := 0.03 * want // edges: a step of four, of 80, moves by a tenth of the mean
				if w == [2]int{0, c.n} && c.n%c.fold == 0 {
					tolerance = 1e-5 * want // of float32
				}
				if math.Abs(got[j]-want) > tolerance {
					t.Errorf("%d steps from %d to %d: value %d is %.4f, want %.4f", c.n, w[0], w[1], j, got[j], want)
				}
			}
		}
	}
}
