package faults

import (
	"math"
	"math/rand/v2"
	"testing"
)

// What the shortcuts of the encoder's filter bank must agree with, its formulas as the
// standard has them, to what double precision leaves of some hundred terms of about 1.
const bankTolerance = 1e-11

func gridNoise(n int) []float64 {
	r := rand.New(rand.NewPCG(5, 6))
	x := make([]float64, n)
	for i := range x {
		x[i] = r.Float64() - 0.5
	}
	return x
}

// ISO/IEC 11172-3 annex C.1.3 and C.1.4.
func TestFilterBankIsItsFormula(t *testing.T) {
	x := gridNoise(mp3Taps + 40*mp3Subbands)
	const lowest, highest = 11, 14
	bands := mp3Polyphase(x, lowest, highest)
	if len(bands) != highest-lowest+1 || len(bands[0]) != 40 {
		t.Fatalf("%d bands of %d slots", len(bands), len(bands[0]))
	}
	for b, got := range bands {
		for s, v := range got {
			want := 0.0
			for i := range mp3Taps {
				c := math.Cos(float64(2*(lowest+b)+1) * float64(i%64-16) * math.Pi / 64)
				want += c * mp3Analysis[i] * x[s*mp3Subbands+mp3Taps-1-i]
			}
			if !(math.Abs(v-want) <= bankTolerance) {
				t.Fatalf("subband %d, slot %d: %g, want %g", lowest+b, s, v, want)
			}
		}
	}
	for odd := range 2 {
		var got [mp3Lines]float64
		mp3MDCT(x[:2*mp3Lines], &mp3Windows[odd], &got)
		for m, v := range got {
			want := mdctLine(x, odd == 1, m)
			if !(math.Abs(v-want) <= bankTolerance) {
				t.Errorf("line %d, odd %d: %g, want %g", m, odd, v, want)
			}
		}
	}
}

// mdctLine is line m of the block at the beginning of x.
func mdctLine(x []float64, odd bool, m int) (sum float64) {
	for i, v := range x[:2*mp3Lines] {
		if odd && i%2 == 1 {
			v = -v
		}
		sum += math.Sin(math.Pi/36*(float64(i)+0.5)) * v * math.Cos(math.Pi/72*float64(2*i+1+mp3Lines)*float64(2*m+1))
	}
	return sum
}

// The flatness of lines from the formulas: two bands, their alias reduction, the mean of
// the logarithms against the logarithm of the mean.
func TestFlatnessIsItsFormula(t *testing.T) {
	const lowest, from, to = 3, 60, 80
	x := gridNoise(2 * 200)
	bands := [][]float64{x[:200], x[200:]}
	for _, slot := range []int{0, 7} {
		var logs, power, n float64
		for s := slot; s+2*mp3Lines <= 200; s += mp3Lines {
			var line [2 * mp3Lines]float64
			for i := range line {
				line[i] = mdctLine(bands[i/mp3Lines][s:], (lowest+i/mp3Lines)%2 == 1, i%mp3Lines)
			}
			for i, c := range aliasC {
				u, d := line[mp3Lines-1-i], line[mp3Lines+i]
				r := math.Sqrt(1 + c*c)
				line[mp3Lines-1-i], line[mp3Lines+i] = (u+d*c)/r, (d-u*c)/r
			}
			for k := from; k < to; k++ {
				p := line[k-lowest*mp3Lines] * line[k-lowest*mp3Lines]
				logs, power, n = logs+math.Log(p), power+p, n+1
			}
		}
		want := logs/n - math.Log(power/n)
		if got := mp3Flatness(bands, slot, lowest, from, to); !(math.Abs(got-want) <= 1e-9) {
			t.Errorf("from slot %d: %.12f, want %.12f", slot, got, want)
		}
	}
}

func BenchmarkGrid(b *testing.B) {
	x := gridNoise(wallFFT)
	for b.Loop() {
		mp3Offsets(x, 330, 408)
	}
}
