package truepeak

import (
	"math"
	"math/rand/v2"
	"testing"
)

// TestLevels: the highest magnitude of each cell and the next sample over both channels, for any length and
// in any blocks; a cell is 64 samples at 44.1 and 48 kHz, about 1.4 ms.
func TestLevels(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 4))
	for _, c := range []struct{ rate, cell int }{{8000, 16}, {44100, 64}, {48000, 64}, {96000, 128}, {192000, 256}} {
		for _, n := range []int{1, c.cell, c.cell + 1, 3*chunk + 77} {
			x := [][]float32{make([]float32, n), make([]float32, n)}
			for i := range n {
				loud := math.Exp2(-8 * r.Float64())
				x[0][i], x[1][i] = float32(loud*r.NormFloat64()), float32(loud*r.NormFloat64())
			}
			m := New(c.rate, 2)
			for from := 0; from < n; from += 1000 {
				m.Write([][]float32{x[0][from:min(n, from+1000)], x[1][from:min(n, from+1000)]})
			}
			l := m.Levels()
			if want := (n + c.cell - 1) / c.cell; l.Cell != c.cell || l.Len() != want {
				t.Fatalf("%d Hz, %d samples: %d cells of %d, want %d of %d", c.rate, n, l.Len(), l.Cell, want, c.cell)
			}
			for i := range l.Len() {
				want := float32(0)
				for k := i * c.cell; k < min(n, (i+1)*c.cell+1); k++ {
					want = max(want, magnitude(x[0][k]), magnitude(x[1][k]))
				}
				if d := math.Abs(float64(l.Sample(i)/want) - 1); d > 0.004 || l.At(i) < l.Sample(i) { // half of 2^-7
					t.Fatalf("%d Hz, %d samples: cell %d is %v (%v between), want %v", c.rate, n, i, l.Sample(i), l.At(i), want)
				}
			}
		}
	}
}

// TestLevelsBetweenTheSamples: sines whose samples miss their peaks, of full scale (the
// samples of the first lie 3 dB under it); a tenth of the rate, then silence under it.
func TestLevelsBetweenTheSamples(t *testing.T) {
	for _, share := range []float64{0.25, 0.125, 1.0 / 3} {
		x := make([]float32, 2*chunk)
		for i := range x {
			x[i] = float32(math.Sin(2 * math.Pi * share * (float64(i) + 0.5)))
			if i > chunk {
				x[i] *= 0.5 // 6 dB lower, which is not looked at
			}
		}
		m := New(44100, 1)
		m.Write([][]float32{x})
		l := m.Levels()
		highest := float32(0)
		for _, v := range x {
			highest = max(highest, magnitude(v))
		}
		for i := 1; i < l.Len()-1; i++ {
			want := 1.0
			if i*l.Cell > chunk {
				want = float64(l.Sample(i))
			}
			if got := float64(l.At(i)); math.Abs(20*math.Log10(got/want)) > 0.3 && i*l.Cell != chunk {
				t.Fatalf("%v of the rate: cell %d is %.3f, want %.3f", share, i, got, want)
			}
		}
	}
}

// TestFinderFindsWhatIsOver holds the finder against ideal interpolation at 16 times the
// rate: every interval that passes the limit by more than the interpolator errs is found,
// with its peak, and none that stays under it by as much.
func TestFinderFindsWhatIsOver(t *testing.T) {
	const errs = 0.006 // side lobes of -50 dB, and the parabola
	for _, m := range material {
		r := rand.New(rand.NewPCG(6, 6))
		n := 1024
		x := fadeEnds(bandLimit(m.make(r, n)))
		buf := make([]float32, n+2*Margin)
		highest := 0.0
		for i, v := range x {
			buf[Margin+i] = float32(v)
			highest = max(highest, math.Abs(v))
		}
		limit := 0.7 * highest
		found := map[int]float64{}
		NewFinder().Over(buf, float32(limit), -1, func(i int, peak float32) { found[i-Margin] = float64(peak) })
		over := 0
		for i := 20; i < n-20; i++ {
			top, wide := 0.0, 0.0 // wide reaches an eighth farther on both sides
			for p := -2; p <= 18; p++ {
				u, sum := float64(i)+float64(p)/16, 0.0
				for k, v := range x {
					sum += v * sincOf(u-float64(k))
				}
				wide = max(wide, math.Abs(sum))
				if p >= 0 && p <= 16 {
					top = max(top, math.Abs(sum))
				}
			}
			peak, is := found[i]
			switch {
			case top > limit+errs*highest && (!is || peak < top-errs*highest || peak > wide+errs*highest):
				t.Errorf("%s: at %d %.4f, found %.4f (limit %.4f)", m.name, i, top, peak, limit)
			case wide < limit-errs*highest && is:
				t.Errorf("%s: at %d %.4f is under %.4f", m.name, i, top, limit)
			case top > limit:
				over++
			}
		}
		if over == 0 {
			t.Errorf("%s: nothing is over the limit", m.name)
		}
	}
}

func sincOf(t float64) float64 {
	if t == 0 {
		return 1
	}
	return math.Sin(math.Pi*t) / (math.Pi * t)
}

// fadeEnds lets x begin and end in silence.
func fadeEnds(x []float64) []float64 {
	for i := range 64 {
		w := float64(i) / 64
		x[i] *= w
		x[len(x)-1-i] *= w
	}
	return x
}

// TestFinderPassesOverTheShadow: behind a higher peak lower ones are left out for so many
// samples, a higher one is not.
func TestFinderPassesOverTheShadow(t *testing.T) {
	buf := make([]float32, 256+2*Margin)
	for i, v := range map[int]float32{40: 0.8, 60: 0.7, 90: 0.9, 160: 0.7} {
		buf[Margin+i] = v
	}
	var at []int
	NewFinder().Over(buf, 0.6, 50, func(i int, peak float32) {
		if p := i - Margin; len(at) == 0 || at[len(at)-1] < p-5 {
			at = append(at, p)
		}
	})
	if len(at) != 3 || at[0] > 40 || at[1] > 90 || at[1] < 85 || at[2] < 155 {
		t.Errorf("found at %v, want near 40, 90 and 160", at)
	}
}

// Two cells made one have what is higher of both, and what follows goes on in cells of that
// length.
func TestHalve(t *testing.T) {
	const rate = 44100
	plain, halved := New(rate, 1), New(rate, 1)
	r := rand.New(rand.NewPCG(8, 8))
	x := make([]float32, 3*rate)
	for i := range x {
		x[i] = float32(0.9 * r.Float64() * math.Sin(float64(i)/7))
	}
	plain.Write([][]float32{x})
	half := len(x) / 2
	halved.Write([][]float32{x[:half]})
	halved.levels.halve()
	halved.Write([][]float32{x[half:]})
	a, b := plain.Levels(), halved.Levels()
	if b.Cell != 2*a.Cell || b.Len() < a.Len()/2 {
		t.Fatalf("%d cells of %d, %d of %d", a.Len(), a.Cell, b.Len(), b.Cell)
	}
	for i := range a.Len() / 2 {
		want := max(a.At(2*i), a.At(2*i+1))
		if got := b.At(i); math.Abs(float64(got-want)) > 0.01*float64(want) || b.Sample(i) != max(a.Sample(2*i), a.Sample(2*i+1)) {
			t.Fatalf("cell %d: %v, want %v", i, got, want)
		}
	}
}
