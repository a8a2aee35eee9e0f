package limit

import (
	"math"
	"math/cmplx"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/dsp/fourier"
)

// run takes channels through a limiter in blocks of an odd size.
func run(rate int, gain, ceiling float64, channels ...[]float32) ([][]float32, Reduction) {
	out := make([][]float32, len(channels))
	l := New(rate, len(channels), gain, ceiling, func(block [][]float32) {
		for c := range block {
			out[c] = append(out[c], block[c]...)
		}
	})
	block := make([][]float32, len(channels))
	for from := 0; from < len(channels[0]); from += 4001 {
		for c := range block {
			block[c] = channels[c][from:min(from+4001, len(channels[c]))]
		}
		l.Write(block)
	}
	l.End()
	return out, l.Reduction()
}

// ideal is the highest magnitude in dB of the ideal interpolation of x at 16 times its
// rate: its spectrum, with silence around x, taken to 16 times the length. It is the
// periodic form of the sum of sinc functions, and shares nothing with the limiter.
func ideal(x []float32) float64 {
	const over, silence = 16, 4096
	n := 1
	for n < len(x)+2*silence {
		n *= 2
	}
	padded := make([]float64, n)
	for i, v := range x {
		padded[silence+i] = float64(v)
	}
	spectrum := fourier.NewFFT(n).Coefficients(nil, padded)
	spectrum[n/2] /= 2 // half of it belongs to the negative frequency
	long := make([]complex128, over*n/2+1)
	copy(long, spectrum)
	top := 0.0
	for _, v := range fourier.NewFFT(over*n).Sequence(nil, long) {
		top = max(top, math.Abs(v)/float64(n))
	}
	return 20 * math.Log10(top)
}

// bandLimit takes everything above a share of the rate out of x.
func bandLimit(x []float32, share float64) []float32 {
	n := len(x)
	long := make([]float64, n)
	for i, v := range x {
		long[i] = float64(v)
	}
	fft := fourier.NewFFT(n)
	s := fft.Coefficients(nil, long)
	for i := range s {
		if float64(i)/float64(n) > share {
			s[i] = 0
		}
	}
	out := make([]float32, n)
	for i, v := range fft.Sequence(nil, s) {
		out[i] = float32(v / float64(n))
	}
	return out
}

// material is what a limiter meets: n samples at a rate.
var material = []struct {
	name string
	make func(r *rand.Rand, rate, n int) []float32
}{
	{"kick, bass and hats", func(r *rand.Rand, rate, n int) []float32 { return bandLimit(music(r, rate, n), 0.47) }},
	{"noise", func(r *rand.Rand, _, n int) []float32 {
		return bandLimit(fill(n, func(int) float64 { return 0.3 * r.NormFloat64() }), 0.45)
	}},
	{"clipped noise", func(r *rand.Rand, _, n int) []float32 {
		return bandLimit(fill(n, func(int) float64 { return max(-0.9, min(0.9, r.NormFloat64())) }), 0.47)
	}},
	{"bass", func(_ *rand.Rand, rate, n int) []float32 {
		return fill(n, func(i int) float64 { return math.Sin(2 * math.Pi * 43 * float64(i) / float64(rate)) })
	}},
	{"a sine whose samples miss its peaks", func(_ *rand.Rand, _, n int) []float32 {
		return fill(n, func(i int) float64 { return 0.99 * math.Sin(math.Pi/2*float64(i)+math.Pi/4) })
	}},
	{"clicks", func(r *rand.Rand, _, n int) []float32 {
		return bandLimit(fill(n, func(i int) float64 {
			if i%1777 < 2 {
				return 1.5
			}
			return 0.1 * r.NormFloat64()
		}), 0.47)
	}},
	{"bursts of a high sine", func(r *rand.Rand, _, n int) []float32 {
		return bandLimit(fill(n, func(i int) float64 {
			a := 0.1
			if i%1300 > 1000 {
				a = 3
			}
			return a * math.Sin(2*math.Pi*0.41*float64(i)+1)
		}), 0.47)
	}},
	{"starts and ends loud", func(_ *rand.Rand, _, n int) []float32 {
		return fill(n, func(i int) float64 { return math.Cos(math.Pi*float64(i)/float64(n)) * math.Cos(0.3*float64(i)) })
	}},
}

func fill(n int, f func(int) float64) []float32 {
	x := make([]float32, n)
	for i := range x {
		x[i] = float32(f(i))
	}
	return x
}

// music is a kick, a bass, a chord and hats at 128 BPM.
func music(r *rand.Rand, rate, n int) []float32 {
	beat := 60.0 / 128
	return fill(n, func(i int) float64 {
		t := float64(i) / float64(rate)
		in := math.Mod(t, beat)
		kick := math.Exp(-in*12) * math.Sin(2*math.Pi*(50*in+3*(1-math.Exp(-in*30))))
		bass := 0.3 * math.Sin(2*math.Pi*55*t) * min(1, in*4)
		hat := 0.25 * math.Exp(-math.Mod(t+beat/2, beat)*40)
		return 0.6*kick + bass + 0.05*(math.Sin(2*math.Pi*440*t)+math.Sin(2*math.Pi*659*t)) + hat*0.3*r.NormFloat64()
	})
}

// TestNeverOverTheCeiling drives everything 1 and 12 dB up; each channel must stay under
// the ceiling, and one of them come near it: within what the limiter keeps clear of.
func TestNeverOverTheCeiling(t *testing.T) {
	const ceiling = -0.3
	for _, m := range material {
		for k, rate := range []int{8000, 44100, 96000} {
			r := rand.New(rand.NewPCG(1, uint64(k)))
			a, b := m.make(r, rate, rate/8), m.make(r, rate, rate/8)
			before := max(ideal(a), ideal(b))
			for _, gain := range []float64{1, 12} {
				out, _ := run(rate, gain, ceiling, a, b)
				got := max(ideal(out[0]), ideal(out[1]))
				if got > ceiling || got < min(ceiling-2*guardDB, before+gain-0.001) {
					t.Errorf("%s at %d Hz, %+.0f dB: %.3f dBTP of %.3f, ceiling %.1f", m.name, rate, gain, got, before+gain, ceiling)
				}
			}
		}
	}
}

// decibels between two samples.
func between(in, out float32) float64 { return -20 * math.Log10(float64(out/in)) }

// TestReductionIsWhatItDid: the figures against the ratio of what came out to what went
// in, sample by sample, by the definitions at Reduction.
func TestReductionIsWhatItDid(t *testing.T) {
	const rate, gain = 44100, 7
	a := music(rand.New(rand.NewPCG(5, 5)), rate, 3*rate+17)
	for i := range a[:rate] { // the first second is quiet
		a[i] *= 0.1
	}
	out, got := run(rate, gain, -1, a, a)
	var worst, at float64
	var cells []float64
	for from := 0; from+44 <= len(a); from += 44 { // 44 samples are a millisecond
		cell := 0.0
		for i := from; i < from+44; i++ {
			if math.Abs(float64(a[i])) < 1e-3 {
				continue // too small to tell a ratio from
			}
			if d := between(a[i], out[0][i]) + gain; d > cell {
				cell = d
				if d > worst {
					worst, at = d, float64(i)/rate
				}
			}
		}
		cells = append(cells, cell)
	}
	over := 0
	for _, c := range cells {
		if c >= OverDB {
			over++
		}
	}
	slices.Sort(cells)
	p95 := cells[int(math.Ceil(0.95*float64(len(cells))))-1]
	if math.Abs(got.MaxDB-worst) > 0.005 || math.Abs(got.MaxAtS-at) > holdS+attackS || worst < 3 {
		t.Errorf("at most %.3f dB at %.3f s, it was %.3f at %.3f", got.MaxDB, got.MaxAtS, worst, at)
	}
	if math.Abs(got.P95DB-p95) > 2*binDB {
		t.Errorf("95 %% of the time %.3f dB, it was %.3f", got.P95DB, p95)
	}
	if share := float64(over) / float64(len(cells)); math.Abs(got.Over2-share) > 0.01 || share < 0.1 || share > 0.6 {
		t.Errorf("%.3f of the time over 2 dB, it was %.3f", got.Over2, share)
	}
	if len(got.PlacesS) != 1 || got.PlacesS[0] != math.Floor(at) {
		t.Errorf("places %v, want the second of %.3f s", got.PlacesS, at)
	}
}

// TestPlaces: the worst seconds first, some way apart, five at most.
func TestPlaces(t *testing.T) {
	k := newTook(1000)
	gains := map[int]float32{3: 0.5, 4: 0.4, 12: 0.6, 14: 0.7, 30: 0.3, 50: 0.9, 70: 0.8, 90: 0.85, 110: 0.95}
	for s := range 120 {
		g, ok := gains[s]
		if !ok {
			g = 1
		}
		k.write([]float32{1, g, 1})
		k.write(slices.Repeat([]float32{1}, 997))
	}
	got := k.result()
	if want := []float64{30, 4, 14, 70, 90}; !slices.Equal(got.PlacesS, want) {
		t.Errorf("places %v, want %v", got.PlacesS, want)
	}
	if math.Abs(got.MaxDB-10.4576) > 1e-3 || got.MaxAtS != 30.001 { // -20 log10 0.3
		t.Errorf("%.4f dB at %v", got.MaxDB, got.MaxAtS)
	}
	if quiet := newTook(44100).result(); quiet.MaxDB != 0 || !math.IsNaN(quiet.MaxAtS) || quiet.P95DB != 0 {
		t.Errorf("nothing limited: %+v", quiet)
	}
}

// TestTransparent: what needs no limiting comes out bit for bit, in any length, not
// late; and behind a peak the gain goes back to 1.
func TestTransparent(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 3))
	for _, n := range []int{1, 15, 16, 300, hop, hop + 1, 3*hop + 5} {
		a := fill(n, func(int) float64 { return 0.1 * (2*r.Float64() - 1) })
		out, red := run(44100, 0, -0.3, a)
		if !slices.Equal(out[0], a) || red.MaxDB != 0 {
			t.Errorf("%d samples: %d came out, not as they were", n, len(out[0]))
		}
	}
	a := fill(3*44100, func(i int) float64 { return 0.1 * math.Sin(float64(i)*0.05) })
	for i := range 200 {
		a[44100+i] *= 30
	}
	out, _ := run(44100, 0, -0.3, a)
	before, after := 44100-300-2*176, 44100+200+57330 // 176 samples are the look-ahead
	if !slices.Equal(out[0][:before], a[:before]) || !slices.Equal(out[0][after:], a[after:]) {
		t.Error("the gain does not go back to 1")
	}
	if slices.Equal(out[0][44100:44300], a[44100:44300]) {
		t.Error("the peak was left as it was")
	}
}

// TestTimes: before a peak the gain falls over the look-ahead, behind it it is held, then
// recovers to 1/e in the release. The source of the figures are the constants.
func TestTimes(t *testing.T) {
	const rate, at = 44100, 22050
	a := fill(2*rate, func(i int) float64 { return 0.01 })
	a[at] = 2
	out, _ := run(rate, 0, 0, a)
	gain := func(seconds float64) float64 { i := at + int(seconds*rate); return float64(out[0][i] / a[i]) }
	low := gain(0.002)
	if g := gain(-attackS - 0.001); g != 1 {
		t.Errorf("before the look-ahead: %v", g)
	}
	if g := gain(-attackS / 2); !(g < 0.98 && g > low+0.02) {
		t.Errorf("half way: %v, the least is %v", g, low)
	}
	if g := gain(holdS - 0.001); math.Abs(g-low) > 1e-4 {
		t.Errorf("held: %v, the least is %v", g, low)
	}
	if want, g := 1-(1-low)/math.E, gain(holdS+attackS/2+releaseS); math.Abs(g-want) > 0.005 {
		t.Errorf("after the release: %v, want %v", g, want)
	}
	if g := gain(holdS + attackS/2 + 0.01); !(g > low+0.02) {
		t.Errorf("soon after the hold: %v, the least is %v", g, low)
	}
}

// TestBassIsNotBent: a sine of 33 Hz far over the ceiling comes out as a sine: harmonics
// 60 dB down, as its half waves (15 ms) lie within look-ahead and hold.
func TestBassIsNotBent(t *testing.T) {
	const rate, n = 44100, 44100
	a := fill(2*n, func(i int) float64 { return math.Sin(2 * math.Pi * 33 * float64(i) / rate) })
	out, _ := run(rate, 6, -0.3, a)
	x := make([]float64, n)
	for i := range x {
		x[i] = float64(out[0][n/2+i])
	}
	s := fourier.NewFFT(n).Coefficients(nil, x)
	for k := 2; k < 20; k++ {
		if d := 20 * math.Log10(cmplx.Abs(s[33*k])/cmplx.Abs(s[33])); d > -60 {
			t.Errorf("harmonic %d at %.1f dB", k, d)
		}
	}
}

// TestBlocksDoNotMatter: the same in whatever blocks it is written, and for a channel
// beside a silent one.
func TestBlocksDoNotMatter(t *testing.T) {
	a := music(rand.New(rand.NewPCG(8, 8)), 44100, 30000)
	whole := make([]float32, 0, len(a))
	l := New(44100, 1, 9, -0.3, func(b [][]float32) { whole = append(whole, b[0]...) })
	l.Write([][]float32{a})
	l.End()
	parts, _ := run(44100, 9, -0.3, a, make([]float32, len(a)))
	if !slices.Equal(whole, parts[0]) {
		t.Error("blocks or a silent channel change the outcome")
	}
	if same, _ := run(44100, 9, -0.3, make([]float32, len(a)), a); !slices.Equal(same[1], whole) {
		t.Error("the second channel is not looked at as the first is")
	}
}

func TestSlidingAndMean(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 9))
	s, m := newSliding(7), newMean(5)
	var x []float64
	for i := range 300 {
		x = append(x, math.Round(r.Float64()*20))
		least, sum := math.Inf(1), 0.0
		for k := max(0, i-6); k <= i; k++ {
			least = min(least, x[k])
		}
		for k := i - 4; k <= i; k++ {
			if k < 0 {
				sum++
			} else {
				sum += x[k]
			}
		}
		if got := s.push(x[i]); got != least {
			t.Fatalf("least of 7 at %d: %v, want %v", i, got, least)
		}
		if got := m.push(x[i]); math.Abs(got-sum/5) > 1e-12 {
			t.Fatalf("mean of 5 at %d: %v, want %v", i, got, sum/5)
		}
	}
}

func BenchmarkLimiter(b *testing.B) {
	a := music(rand.New(rand.NewPCG(1, 1)), 44100, 30*44100)
	b.ReportAllocs()
	for b.Loop() {
		l := New(44100, 2, 7, -0.3, func([][]float32) {})
		for from := 0; from < len(a); from += 4096 {
			to := min(len(a), from+4096)
			l.Write([][]float32{a[from:to], a[from:to]})
		}
		l.End()
	}
}
