package render

import (
	"math"
	"math/rand/v2"
)

// bits of a sample of a copy, and the largest value that they hold.
const (
	bits      = 24
	fullScale = 1 << (bits - 1)
)

// quantiser turns samples into integers of 24 bits with triangular dither of one step either
// way, which makes the error independent of the signal: noise of a quarter of a step squared
// in all (Lipshitz, Wannamaker and Vanderkooy, "Quantization and Dither: A Theoretical Survey",
// JAES 40(5), 1992). The dither comes from a fixed seed: a copy that is made again is the same.
type quantiser struct {
	exact bool // samples are on the grid already and nothing was done to them
	r     *rand.Rand
}

func newQuantiser(exact bool) *quantiser {
	return &quantiser{exact, rand.New(rand.NewPCG(24, 0))}
}

// value is the integer of a sample.
func (q *quantiser) value(v float32) int32 {
	x := float64(v) * fullScale
	if !q.exact {
		x += q.r.Float64() - q.r.Float64()
	}
	return int32(max(-fullScale, min(fullScale-1, math.RoundToEven(x))))
}
