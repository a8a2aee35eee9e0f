package transfer

import (
	"math"
	"testing"
)

// Expected by the definition of d, summed up sample by sample in double precision.
func TestMeasureIsTheSecondDifferenceOfPairs(t *testing.T) {
	const size, cellCount, past = 32, 3, 4
	x := make([]float32, past+size*cellCount)
	y := make([]float32, len(x))
	for i := range x {
		x[i], y[i] = float32(math.Sin(float64(i*i))), float32(math.Cos(float64(i)*1.7))
	}
	var cells [2][]cell
	var parts [2][]float32
	for c := range cells {
		cells[c], parts[c] = make([]cell, cellCount), make([]float32, cellCount*partsPerCell)
	}
	var from [2]slope
	for c, ch := range [][]float32{x, y} {
		from[c] = slope{ch[2] + ch[3], ch[2] + ch[3] - ch[0] - ch[1]}
	}
	measure(&cells, &parts, x[past:], y[past:], size, &from)
	const tolerance = 1e-4 // of sums in single precision
	second := func(ch []float32, i int) float64 {
		pair := func(i int) float64 { return float64(ch[2*i]) + float64(ch[2*i+1]) }
		return pair(i+2) - 2*pair(i+1) + pair(i)
	}
	for c, ch := range [][]float32{x, y} {
		for k := range cellCount {
			energy, most := 0.0, 0.0
			for i := k * size / 2; i < (k+1)*size/2; i++ {
				d := second(ch, i)
				energy += d * d
				most = max(most, d*d)
			}
			got := cells[c][k]
			if math.Abs(float64(got.energy)-energy) > tolerance*energy || math.Abs(float64(got.most)-most) > tolerance*most {
				t.Errorf("channel %d, cell %d: %+v, want %g and %g", c, k, got, energy, most)
			}
		}
		for j := range parts[c] {
			mean := 0.0
			for _, v := range ch[past+j*size/partsPerCell:][:size/partsPerCell] {
				mean += float64(v) / (size / partsPerCell)
			}
			if math.Abs(float64(parts[c][j])-mean) > tolerance {
				t.Errorf("channel %d, part %d: %g, want %g", c, j, parts[c][j], mean)
			}
		}
	}
}
