package continuity

import "math/rand/v2"

// run measures audio in blocks of any length.
func run(x [][]float32, rate int, g Grid) []Finding {
	m := New(rate, len(x))
	rng := rand.New(rand.NewPCG(1, 2))
	block := make([][]float32, len(x))
	for from := 0; from < len(x[0]); {
		n := min(1+rng.IntN(9000), len(x[0])-from)
		for c := range x {
			block[c] = x[c][from : from+n]
		}
		m.Write(block)
		from += n
	}
	return m.Result(g)
}
