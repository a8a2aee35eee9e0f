package mp3

import (
	"math"
	"math/rand/v2"
	"testing"
)

// stageTolerance is the error allowed to a stage in float32 against its formula in
// float64, for input of amplitude 1: some ten roundings of 2^-24, scaled by at most
// 11, the largest 1/(2 cos t).
const stageTolerance = 1e-5

func noise(n int) []float32 {
	r := rand.New(rand.NewPCG(1, 2))
	x := make([]float32, n)
	for i := range x {
		x[i] = 2*r.Float32() - 1
	}
	return x
}

// The codes of a prefix code that is complete fill all of code space: the sum of
// 2^-length is 1 (Kraft). And each must be found by the tables built from it.
func TestHuffmanCodesComplete(t *testing.T) {
	for n, c := range huffmanCodes {
		sum := 0.0
		for _, l := range c.lengths {
			sum += math.Exp2(-float64(l))
		}
		if sum != 1 {
			t.Errorf("table %d: Kraft sum %v, want 1", n, sum)
		}
	}
}

// The inverse modified DCT against its formula (clause 2.4.3.4.10.2) and windows
// (2.4.3.4.10.3), with the frequency inversion (2.4.3.4.10.4), over two granules.
func TestHybridFormula(t *testing.T) {
	for block := uint8(0); block < 4; block++ {
		for _, mixed := range []bool{false, true} {
			var f hybrid
			var out slotBlock
			x := [2][granuleSamples]float32{[granuleSamples]float32(noise(576)), [granuleSamples]float32(noise(576))}
			g := granule{blockType: block, mixed: mixed}
			f.transform(&x[0], subbands, &g, &out)
			f.transform(&x[1], subbands, &g, &out)
			for sb := range subbands {
				b := block
				if mixed && sb < 2 {
					b = blockLong
				}
				first, second := formulaIMDCT(x[0][sb*18:sb*18+18], b), formulaIMDCT(x[1][sb*18:sb*18+18], b)
				for i := range slots {
					want := first[18+i] + second[i]
					if sb%2 == 1 && i%2 == 1 {
						want = -want
					}
					if got := float64(out[i*subbands+sb]); math.Abs(got-want) > stageTolerance {
						t.Fatalf("block %d, subband %d, slot %d: %v, want %v", block, sb, i, got, want)
					}
				}
			}
		}
	}
}

func formulaIMDCT(x []float32, block uint8) (y [36]float64) {
	if block != blockShort {
		for i := range y {
			for k, v := range x {
				y[i] += float64(v) * math.Cos(math.Pi/72*float64((2*i+1+18)*(2*k+1)))
			}
			y[i] *= formulaWindow(block, i)
		}
		return y
	}
	for w := range 3 {
		for i := range 12 {
			s := 0.0
			for k := range 6 {
				s += float64(x[3*k+w]) * math.Cos(math.Pi/24*float64((2*i+1+6)*(2*k+1)))
			}
			y[6+6*w+i] += s * math.Sin(math.Pi/12*(float64(i)+0.5))
		}
	}
	return y
}

func formulaWindow(block uint8, i int) float64 {
	long := math.Sin(math.Pi / 36 * (float64(i) + 0.5))
	switch {
	case block == blockStart && i >= 18:
		switch {
		case i < 24:
			return 1
		case i < 30:
			return math.Sin(math.Pi / 12 * (float64(i) - 18 + 0.5))
		}
		return 0
	case block == blockStop && i < 18:
		switch {
		case i < 6:
			return 0
		case i < 12:
			return math.Sin(math.Pi / 12 * (float64(i) - 6 + 0.5))
		}
		return 1
	}
	return long
}

// The synthesis filter bank against the flow chart of Figure A.2, over enough slots
// to go round the ring twice.
func TestSynthesisFormula(t *testing.T) {
	var f synthesis
	var in slotBlock
	var out [granuleSamples]float32
	var v [1024]float64
	d := SynthesisWindow()
	for round := range 3 {
		copy(in[:], noise(576 * (round + 1))[576*round:])
		f.run(&in, &out)
		for slot := range slots {
			copy(v[64:], v[:960])
			for i := range 64 {
				v[i] = 0
				for k, s := range in.slot(slot) {
					v[i] += math.Cos(math.Pi/64*float64((16+i)*(2*k+1))) * float64(s)
				}
			}
			for j := range 32 {
				want := 0.0
				for i := range 8 {
					want += v[128*i+j]*float64(d[64*i+j]) + v[128*i+96+j]*float64(d[64*i+32+j])
				}
				if got := float64(out[32*slot+j]); math.Abs(got-want) > stageTolerance {
					t.Fatalf("round %d, slot %d, sample %d: %v, want %v", round, slot, j, got, want)
				}
			}
		}
	}
}
