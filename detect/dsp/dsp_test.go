package dsp

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
)

// Abramowitz and Stegun, table 9.8 (as exp(-x) I0(x)), and I0(0) = 1.
func TestBessel0(t *testing.T) {
	const digits = 1e-9 // of the table
	for x, want := range map[float64]float64{0: 1, 1: 0.4657596077, 2: 0.3085083225, 5: 0.1835408126, 10: 0.1278333372} {
		if got := math.Exp(-x) * Bessel0(x); !(math.Abs(got-want) <= digits) {
			t.Errorf("exp(-%g) I0(%g) = %.10f, want %.10f", x, x, got, want)
		}
	}
}

// What the formulas give, worked by hand.
func TestWindows(t *testing.T) {
	const tolerance = 1e-12
	for _, c := range []struct {
		name      string
		got, want float64
	}{
		{"Kaiser, middle", Kaiser(0, 7), 1},
		{"Kaiser, end", Kaiser(1, 7), 1 / Bessel0(7)},
		{"Kaiser, beyond", Kaiser(1.01, 7), 0},
		{"Kaiser, beyond the other end", Kaiser(-1.01, 7), 0},
		{"Kaiser of beta 0", Kaiser(0.5, 0), 1},
		{"Kaiser, halfway", Kaiser(0.6, 5), Bessel0(4) / Bessel0(5)},
		{"beta of 70 dB", KaiserBeta(70), 6.75526},
		{"taps of 70 dB in a tenth", KaiserTaps(70, 0.1), 62.05 / 1.436},
		{"Hann, end", Hann(0, 8), 0},
		{"Hann, quarter", Hann(2, 8), 0.5},
		{"Hann, middle", Hann(4, 8), 1},
		{"Hamming, middle", Hamming(0), 1},
		{"Hamming, halfway", Hamming(0.5), 0.54},
		{"Hamming, end", Hamming(1), 0.08},
		{"Sinc, middle", Sinc(0), 1},
		{"Sinc, zero", Sinc(3), 0},
		{"Sinc, side", Sinc(-1.5), -2 / (3 * math.Pi)},
		{"sine taper", SineTaper(1.0 / 3), 0.5},
		{"smooth taper, end", SmoothTaper(1), 1},
		{"smooth taper, halfway", SmoothTaper(0.5), math.Sqrt2 / 2},
	} {
		if !(math.Abs(c.got-c.want) <= tolerance) {
			t.Errorf("%s: %.15f, want %.15f", c.name, c.got, c.want)
		}
	}
	for x := 0.0; x <= 1; x += 0.1 {
		for _, taper := range []func(float64) float64{SineTaper, SmoothTaper} {
			if p := taper(x)*taper(x) + taper(1-x)*taper(1-x); !(math.Abs(p-1) <= tolerance) {
				t.Errorf("at %.1f the powers of two tapers add up to %.15f", x, p)
			}
		}
	}
}

// A half-band filter stops as many decibels as its window gives.
func TestHalfBandResponse(t *testing.T) {
	h := HalfBand(8, func(x float64) float64 { return Kaiser(x, 8) })
	dB := func(f float64) float64 { return 10 * math.Log10(HalfBandResponse(h, f)) }
	if !(math.Abs(dB(0)) < 1e-9 && math.Abs(dB(0.25)+20*math.Log10(2)) < 1e-9) {
		t.Errorf("%.10f dB at 0, %.10f dB at a quarter of the rate", dB(0), dB(0.25))
	}
	for f := 0.0; f < 0.5; f += 0.001 {
		// Kaiser's formula: 31 taps of 80 dB have a transition of 0.162.
		if d := kaiserTransition(80, 31) / 2; f < 0.25-d && math.Abs(dB(f)) > 0.01 || f > 0.25+d && dB(f) > -75 {
			t.Errorf("%.2f dB at %.3f", dB(f), f)
		}
	}
}

// kaiserTransition is KaiserTaps solved for the transition.
func kaiserTransition(attenuationDB, taps float64) float64 {
	return KaiserTaps(attenuationDB, 1) / taps
}

// direct is the filter by its definition, on the whole signal.
func direct(taps []float64, x []float64) []float64 {
	at := func(i int) float64 {
		if i < 0 || i >= len(x) {
			return 0
		}
		return x[i]
	}
	var y []float64
	for m := 0; 2*m < len(x); m++ {
		v := at(2*m) / 2
		for i, h := range taps {
			v += h * (at(2*m-2*i-1) + at(2*m+2*i+1))
		}
		y = append(y, v)
	}
	return y
}

func noise(n int) []float64 {
	r := rand.New(rand.NewPCG(3, 4))
	x := make([]float64, n)
	for i := range x {
		x[i] = r.Float64() - 0.5
	}
	return x
}

// halved puts x through a halver in blocks of the given sizes in turn.
func halved[F float32 | float64](taps, x []float64, sizes ...int) (y []float64) {
	const block = 64
	h := NewHalver[F](taps, block)
	dst, src := make([]F, block), make([]F, 0, block)
	for turn := 0; len(x) > 0; turn++ {
		n := min(len(x), sizes[turn%len(sizes)])
		src = src[:0]
		for _, v := range x[:n] {
			src = append(src, F(v))
		}
		for _, v := range h.Write(dst, src) {
			y = append(y, float64(v))
		}
		x = x[n:]
	}
	return y
}

func TestHalverIsItsFormula(t *testing.T) {
	x := noise(1001)
	for _, n := range []int{2, 4, 5, 7, 8, 11} {
		taps := HalfBand(n, Hamming)
		want := direct(taps, x)
		for _, sizes := range [][]int{{64}, {1}, {63}, {2, 1, 30}} {
			check := func(name string, got []float64, tolerance float64) {
				t.Helper()
				if len(want)-len(got) != n { // those wait for the samples that they look ahead to
					t.Errorf("%s, %d taps, blocks of %v: %d samples of %d", name, n, sizes, len(got), len(want))
				}
				for i, v := range got {
					if !(math.Abs(v-want[i]) <= tolerance) {
						t.Fatalf("%s, %d taps, blocks of %v: sample %d is %g, want %g", name, n, sizes, i, v, want[i])
					}
				}
			}
			check("float64", halved[float64](taps, x, sizes...), 1e-15)
			check("float32", halved[float32](taps, x, sizes...), 1e-6)
		}
	}
}

func TestSilentHalverGoesInStep(t *testing.T) {
	taps := HalfBand(5, Hamming)
	a, b := NewHalver[float64](taps, 64), NewHalver[float64](taps, 64)
	dst := make([]float64, 64)
	a.Write(dst, noise(37))
	b.Write(dst, noise(4)) // is forgotten
	b.Silence(a)
	zeros := make([]float64, 20)
	n := len(a.Write(dst, zeros))
	got := b.Write(dst, zeros)
	if len(got) != n {
		t.Errorf("%d samples, want %d", len(got), n)
	}
	for _, v := range got {
		if v != 0 {
			t.Errorf("%g of silence", v)
		}
	}
}

func TestDecimatorIsItsFormula(t *testing.T) {
	for _, factor := range []int{1, 3, 8} {
		taps := Boxcar(factor, 4)
		x := noise(20 * Gathered)
		single := make([]float32, len(x))
		for i, v := range x {
			single[i] = float32(v)
		}
		if len(taps) != 4*(factor-1)+1 || !(math.Abs(Response(taps, 0)-1) <= 1e-6) {
			t.Fatalf("%d taps, gain %g", len(taps), Response(taps, 0))
		}
		// A running mean taken four times: (sin(pi f n) / (n sin(pi f)))^8 in power.
		f := 0.07
		mean := math.Sin(math.Pi*f*float64(factor)) / (float64(factor) * math.Sin(math.Pi*f))
		if got, want := Response(taps, f), math.Pow(mean, 8); !(math.Abs(got-want) <= 1e-6) {
			t.Errorf("factor %d: power gain %g, want %g", factor, got, want)
		}
		for _, block := range []int{1, 777, len(x)} {
			var got []float32
			d := NewDecimator(taps, factor)
			for at := 0; at < len(x); at += block {
				d.Write(single[at:min(at+block, len(x))], func(y []float32) { got = append(got, y...) })
			}
			if len(got) < (len(x)-2*Gathered)/factor {
				t.Fatalf("factor %d, blocks of %d: only %d samples", factor, block, len(got))
			}
			for m, v := range got {
				want := 0.0
				for i, h := range taps {
					if at := m*factor + i - len(taps)/2; at >= 0 && at < len(x) {
						want += float64(h) * x[at]
					}
				}
				if !(math.Abs(float64(v)-want) <= 1e-6) {
					t.Fatalf("factor %d, blocks of %d: sample %d is %g, want %g", factor, block, m, v, want)
				}
			}
		}
	}
}

func TestOrderStatistics(t *testing.T) {
	x := []float64{4, 1, 3, 2}
	if m := Median(x); m != 2.5 || x[0] != 4 {
		t.Errorf("median %g of %v", m, x)
	}
	if m := Median(x[:3]); m != 3 {
		t.Errorf("median %g", m)
	}
	if m := Median(nil); m != 0 {
		t.Errorf("median %g of none", m)
	}
	s := []float64{1, 2, 3, 4}
	// R: quantile(1:4, p), type 7.
	for p, want := range map[float64]float64{0: 1, 0.1: 1.3, 0.25: 1.75, 0.5: 2.5, 0.9: 3.7, 1: 4} {
		if got := Quantile(s, p); !(math.Abs(got-want) < 1e-12) {
			t.Errorf("quantile %g: %g, want %g", p, got, want)
		}
	}
	if !math.IsNaN(Quantile(nil, 0.5)) {
		t.Error("a quantile of none")
	}
}

func BenchmarkHalver(b *testing.B) {
	for _, n := range []int{4, 7, 8} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			h := NewHalver[float32](HalfBand(n, Hamming), 1024)
			src, dst := make([]float32, 1024), make([]float32, 1024)
			b.ReportAllocs()
			for b.Loop() {
				h.Write(dst, src)
			}
		})
	}
}
