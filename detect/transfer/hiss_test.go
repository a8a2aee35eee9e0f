package transfer

import (
	"math"
	"math/rand/v2"
	"testing"
)

// White noise has its own RMS level in every band, whatever the rate; expected by
// Parseval's theorem, the median of five chi-square sums being 0.3 dB under the mean.
func TestHissLevelIsThatOfWhiteNoise(t *testing.T) {
	for _, c := range []struct{ rate, bands int }{{44100, 5}, {96000, 5}, {32000, 3}, {22050, 2}, {18000, 1}, {16000, 0}} {
		rng := rand.New(rand.NewPCG(1, uint64(c.rate)))
		m := New(c.rate, 2)
		x := [][]float32{make([]float32, 10*c.rate), make([]float32, 10*c.rate)}
		for i := range x[0] {
			x[0][i], x[1][i] = 0.01*float32(rng.NormFloat64()), 0.01*float32(rng.NormFloat64())
		}
		m.Write(x)
		if m.hiss.bands != c.bands {
			t.Fatalf("%d Hz: %d bands, want %d", c.rate, m.hiss.bands, c.bands)
		}
		if n := float64(m.hiss.frames.Len()) * m.hiss.seconds; c.bands > 0 && math.Abs(n-10) > 0.2 {
			t.Errorf("%d Hz: frames of %.1f s, 10 s were written", c.rate, n)
		}
		for b := range c.bands {
			sum := 0.0
			for i := range m.hiss.frames.Len() {
				f := m.hiss.frames.At(i)
				sum += float64(f[b])
			}
			if mean := sum / float64(m.hiss.frames.Len()); math.Abs(mean+40.5) > 0.7 {
				t.Errorf("%d Hz, band %d: %.1f dB, want -40", c.rate, b, mean)
			}
		}
	}
}

// The channels count alike, and a tone counts in one band at most; expected by adding up
// powers: noise in one of two channels is 3 dB under noise in both, and up to 0.5 more, as
// the median of a chi-square variable of 8 degrees of freedom lies 0.4 dB under its mean
// and of 16 half as much.
func TestHissOfOneChannelAndTones(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 3))
	mean := func(left, right, tone float64) top {
		m := New(plantRate, 2)
		x := [][]float32{make([]float32, 20*plantRate), make([]float32, 20*plantRate)}
		for i := range x[0] {
			s := tone * math.Sin(2*math.Pi*14100*float64(i)/plantRate)
			x[0][i], x[1][i] = float32(left*rng.NormFloat64()+s), float32(right*rng.NormFloat64()+s)
		}
		m.Write(x)
		var sum top
		for i := range m.hiss.frames.Len() {
			f := m.hiss.frames.At(i)
			for b, v := range f {
				sum[b] += float32(math.Pow(10, float64(v)/10)) / float32(m.hiss.frames.Len())
			}
		}
		for b, p := range sum {
			sum[b] = float32(decibels(p))
		}
		return sum
	}
	both, one, other, whistle := mean(1e-3, 1e-3, 0), mean(1e-3, 0, 0), mean(0, 1e-3, 0), mean(1e-3, 1e-3, 0.03)
	for b := range both {
		if math.Abs(float64(both[b]-one[b])-3.2) > 0.4 || math.Abs(float64(both[b]-other[b])-3.2) > 0.4 {
			t.Errorf("band %d: %.1f dB in both, %.1f and %.1f in one", b, both[b], one[b], other[b])
		}
		if math.Abs(float64(whistle[b]-both[b])) > 1.5 {
			t.Errorf("band %d: %.1f dB, with a tone 30 dB over the noise %.1f", b, both[b], whistle[b])
		}
	}
}

// floored is a track of 48 s whose music lies over a floor in so many of the eight parts
// that are looked at, level dB under full scale in each band, spread dB uneven.
func floored(parts int, spread float64, level ...float64) *hiss {
	const music, each = -25.0, 65
	rng := rand.New(rand.NewPCG(2, 9))
	h := newHiss(plantRate, 32)
	ends := 29 // endShare of all
	for p := -1; p <= hissParts; p++ {
		n := each
		if p < 0 || p == hissParts {
			n = ends
		}
		for i := range n {
			var f top
			for b := range f {
				f[b] = float32(music + 4*rng.NormFloat64())
				if p >= 0 && p < parts && i >= 20 && i < 40 {
					f[b] = float32(level[b%len(level)] + spread*rng.NormFloat64())
				}
			}
			h.frames.Append(f)
		}
	}
	return &h
}

// Expected by the words of the constants. What the noise itself lies under its mean is
// added to every floor.
func TestHissIsInSeveralPartsAndBands(t *testing.T) {
	for _, c := range []struct {
		name string
		h    *hiss
		want float64 // dBFS, 0 for none
	}{
		{"in three parts", floored(3, 0.4, -52), -51},
		{"in two parts", floored(2, 0.4, -52), -51},
		{"in one part", floored(1, 0.4, -52), 0},
		{"in two parts and two bands", floored(2, 0.4, -20, -20, -20, -52, -52), -50.5},
		{"in one part and two bands", floored(1, 0.4, -20, -20, -20, -52, -52), 0},
		{"in two parts and one band", floored(2, 0.4, -20, -20, -20, -20, -52), 0},
		{"in two parts and two bands, unlike", floored(2, 0.4, -20, -20, -20, -52, -54), 0},
		{"in two parts and two bands, uneven", floored(2, 2.2, -20, -20, -20, -52, -52), 0},
		{"in two parts and tilted", floored(2, 0.4, -46, -48, -50, -52, -54), 0},
		{"in the two highest bands", floored(4, 0.4, -20, -20, -20, -52, -54), -52},
		{"in the two lowest", floored(4, 0.4, -52, -54, -20, -20, -20), -52},
		{"in one band and four parts", floored(4, 0.4, -20, -20, -20, -52, -20), 0},
		{"in one band and five", floored(5, 0.4, -20, -20, -20, -52, -20), -51},
		{"in two that are no neighbours", floored(4, 0.4, -52, -20, -52, -20, -20), 0},
		{"in three and two, the three count", floored(4, 0.4, -52, -52, -52, -62, -62), -51},
		{"in two and three", floored(4, 0.4, -62, -62, -52, -52, -52), -51},
		{"of another shape", floored(4, 0.4, -42, -50, -58, -66, -74), 0},
		{"tilted", floored(4, 0.4, -50, -51, -52, -54, -56), -51.6},
		{"a tail", floored(4, 2.5, -52), 0},
		{"as loud as an instrument", floored(4, 0.4, -39), 0},
		{"loud", floored(4, 0.4, -43.5), -42.5},
		{"loud in four bands of five", floored(8, 0.4, -20, -45.8, -45.8, -45.8, -45.8), 0},
		{"as loud in one", floored(8, 0.4, -20, -20, -45.8, -20, -20), 0},
		{"not as loud in four", floored(8, 0.4, -20, -48.2, -48.2, -48.2, -48.2), -47},
		{"too faint", floored(4, 0.4, -72), 0},
		{"faint", floored(4, 0.4, -67), -66},
	} {
		got, at := c.h.floor()
		if math.IsNaN(got) != (c.want == 0) || c.want != 0 && math.Abs(got-c.want) > 0.7 {
			t.Errorf("%s: %.1f dBFS, want %.1f", c.name, got, c.want)
		}
		if c.want != 0 {
			sum := float32(0)
			for _, v := range c.h.frames.At(at) {
				sum += v
			}
			for i := range c.h.frames.Len() {
				var other float32
				for _, v := range c.h.frames.At(i) {
					other += v
				}
				if other < sum {
					t.Fatalf("%s: frame %d has less than %d, which is named", c.name, i, at)
				}
			}
		}
	}
}

// A noise that pumps with the kick, as a bed of noise in a mix does, is no hiss: its floor
// is its lowest point. Planted beside it, steady noise of the same mean level is.
func TestHissDoesNotPump(t *testing.T) {
	for _, pumps := range []bool{true, false} {
		rng := rand.New(rand.NewPCG(8, 8))
		x := piece()
		for i := range x[0] {
			g := 1.0
			if beat := math.Mod(float64(i)/plantRate*122/60, 1); pumps {
				g = 1.4 * math.Min(1, beat*1.6)
			}
			for c := range x {
				x[c][i] += float32(0.0035 * g * rng.NormFloat64())
			}
		}
		found := listen(x).Result(beat122)
		if (len(found) == 1) == pumps || len(found) > 1 {
			t.Errorf("pumping %v: %+v", pumps, found)
		}
	}
}

// Risers of filtered noise, one every eight bars and as long as four, are music; the same
// noise from end to end is hiss.
func TestHissAndRisers(t *testing.T) {
	for _, riser := range []bool{true, false} {
		rng := rand.New(rand.NewPCG(9, 9))
		x := piece()
		low := [2]float64{}
		for i := range x[0] {
			at := float64(i) / plantRate
			corner, g := 0.76, 0.004
			if u := math.Mod(at, 16) / 8; riser {
				corner, g = 0.05+0.7*u, 0.03*u*u
				if u > 1 {
					g = 0
				}
			}
			for c := range x {
				low[c] += corner * (g*rng.NormFloat64() - low[c])
				x[c][i] += float32(low[c])
			}
		}
		found := listen(x).Result(beat122)
		if (len(found) == 1) == riser || len(found) > 1 {
			t.Errorf("riser %v: %+v", riser, found)
		}
	}
}
