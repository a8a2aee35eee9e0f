package spectrum

import (
	"math"
	"math/rand/v2"
	"testing"
)

// panned is noise of which the left channel has the first source and the right both, so
// that sum and difference are known: L = a, R = share a + b.
func panned(rate int, seconds, share float64) (block, sum, difference [][]float32) {
	n := int(seconds * float64(rate))
	r := rand.New(rand.NewPCG(3, 4))
	block = [][]float32{make([]float32, n), make([]float32, n)}
	sum, difference = [][]float32{make([]float32, n)}, [][]float32{make([]float32, n)}
	for i := range n {
		a, b := 0.1*r.NormFloat64(), 0.05*r.NormFloat64()
		left, right := a, share*a+b
		block[0][i], block[1][i] = float32(left), float32(right)
		sum[0][i], difference[0][i] = float32((left+right)/math.Sqrt2), float32((left-right)/math.Sqrt2)
	}
	return block, sum, difference
}

// bandsOf measures a signal between two times.
func bandsOf(rate int, x [][]float32, from, to float64) []float64 {
	m := New(rate, len(x))
	m.Write(x)
	return m.Over(from, to)
}

// TestSides holds sum and difference against a meter that is written them as signals of
// their own, in every band of all three layers, and their powers against those of both
// channels.
func TestSides(t *testing.T) {
	for _, rate := range []int{22050, 44100, 48000} {
		for _, share := range []float64{0.9, 0.2, -0.8} {
			block, sum, difference := panned(rate, 6, share)
			m := New(rate, 2)
			for at := 0; at < len(block[0]); at += 1000 {
				to := min(at+1000, len(block[0]))
				m.Write([][]float32{block[0][at:to], block[1][at:to]})
			}
			mid, side := m.Sides(1, 5)
			both := m.Over(1, 5)
			wantMid, wantSide := bandsOf(rate, sum, 1, 5), bandsOf(rate, difference, 1, 5)
			const tolerance = 0.01 // dB, single precision
			for b := range both {
				if math.IsNaN(both[b]) {
					if !math.IsNaN(mid[b]) || !math.IsNaN(side[b]) {
						t.Errorf("%d Hz, band %g: %.2f and %.2f above the rate's half", rate, Centres[b], mid[b], side[b])
					}
					continue
				}
				if d := math.Abs(mid[b] - wantMid[b]); !(d < tolerance) {
					t.Errorf("%d Hz, %g: sum %.3f dB at %g Hz, want %.3f", rate, share, mid[b], Centres[b], wantMid[b])
				}
				if d := math.Abs(side[b] - wantSide[b]); !(d < tolerance) {
					t.Errorf("%d Hz, %g: difference %.3f dB at %g Hz, want %.3f", rate, share, side[b], Centres[b], wantSide[b])
				}
				if p := math.Pow(10, mid[b]/10) + math.Pow(10, side[b]/10); !(math.Abs(10*math.Log10(p)-both[b]) < 1e-6) {
					t.Errorf("%d Hz: both parts have %.4f dB at %g Hz, the channels %.4f", rate, 10*math.Log10(p), Centres[b], both[b])
				}
			}
		}
	}
}

// TestNoSides: two equal channels differ in nothing, opposite ones have no sum, and one
// channel or three have neither.
func TestNoSides(t *testing.T) {
	block, _, _ := panned(44100, 3, 1)
	for _, sign := range []float32{1, -1} {
		other := make([]float32, len(block[0]))
		for i, v := range block[0] {
			other[i] = sign * v
		}
		m := New(44100, 2)
		m.Write([][]float32{block[0], other})
		mid, side := m.Sides(0, 3)
		if sign < 0 {
			mid, side = side, mid
		}
		both := m.Over(0, 3)
		for b := range mid {
			if !(math.Abs(mid[b]-both[b]) < 1e-4) || (sign > 0 && !math.IsNaN(side[b])) || side[b] > both[b]-60 {
				t.Errorf("sign %g at %g Hz: %.3f and %.3f dB of %.3f", sign, Centres[b], mid[b], side[b], both[b])
			}
		}
	}
	for _, channels := range []int{1, 3} {
		m := New(44100, channels)
		x := make([][]float32, channels)
		for c := range x {
			x[c] = block[0]
		}
		m.Write(x)
		if mid, side := m.Sides(0, 3); mid != nil || side != nil {
			t.Errorf("%d channels have sides", channels)
		}
		m.SlidingSides(1, func(float64, []float64, []float64) { t.Errorf("%d channels have windows of sides", channels) })
	}
}

// TestSlidingSides: windows follow the music; the one over the part where the channels
// are opposite has the difference.
func TestSlidingSides(t *testing.T) {
	block, _, _ := panned(44100, 12, 1)
	copy(block[1], block[0])
	for i := 6 * 44100; i < 9*44100; i++ {
		block[1][i] = -block[0][i]
	}
	m := New(44100, 2)
	m.Write(block)
	worst, at, n := 0.0, 0.0, 0
	m.SlidingSides(2, func(start float64, both, apart []float64) {
		n++
		if share := apart[20] / both[20]; share > worst {
			worst, at = share, start
		}
	})
	if n < 12 || worst < 0.98 || at < 5.7 || at > 7.3 {
		t.Errorf("%d windows, the most apart has %.2f at %.1f s; planted from 6 to 9 s", n, worst, at)
	}
}

// TestTap: the samples of the lowest layer, in step over the channels, not late and no
// more than the track has; a tone of 50 Hz comes as it went in.
func TestTap(t *testing.T) {
	const n = 44100 * 5
	x := make([]float32, n)
	for i := range x {
		x[i] = float32(0.5 * math.Sin(2*math.Pi*50*float64(i)/44100))
	}
	m := New(44100, 2)
	var got [2][]float32
	rate := m.Tap(func(c int, x []float32) { got[c] = append(got[c], x...) })
	for at := 0; at < n; at += 777 {
		to := min(at+777, n)
		m.Write([][]float32{x[at:to], x[at:to]})
	}
	m.Whole()
	if want := n / 64; rate != 44100.0/64 || len(got[0]) != len(got[1]) || len(got[0]) > want+1 || len(got[0]) < want-100 {
		t.Fatalf("%d and %d samples at %.1f Hz", len(got[0]), len(got[1]), rate)
	}
	for i := 100; i < len(got[0]); i++ {
		if want := 0.5 * math.Sin(2*math.Pi*50*float64(i)/rate); math.Abs(float64(got[0][i])-want) > 0.005 || got[0][i] != got[1][i] {
			t.Fatalf("sample %d: %g and %g, want %g", i, got[0][i], got[1][i], want)
		}
	}
}
