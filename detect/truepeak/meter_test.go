package truepeak

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/google/go-cmp/cmp"
	"gonum.org/v1/gonum/dsp/fourier"
	"pgregory.net/rapid"

	"dubgauge/detect/dsp"
)

// Tolerances of EBU Tech 3341 v4 table 1, cases 15 to 23, in dB.
const tech3341Over, tech3341Under = 0.2, 0.4

// measure writes channels in blocks of an odd size.
func measure(rate int, channels ...[]float32) Result {
	m := New(rate, len(channels))
	block := make([][]float32, len(channels))
	for from := 0; from < len(channels[0]); from += 4001 {
		for c := range block {
			block[c] = channels[c][from:min(from+4001, len(channels[c]))]
		}
		m.Write(block)
	}
	return m.Result()
}

// fadedSine is a sine at a share of the rate with 10 ms fades.
func fadedSine(rate int, share, amplitude, degrees float64) []float32 {
	x := make([]float32, rate/2)
	fade := 0.010 * float64(rate)
	for i := range x {
		edge := min(1, float64(min(i, len(x)-1-i))/fade)
		x[i] = float32(edge * amplitude * math.Sin(2*math.Pi*share*float64(i)+degrees*math.Pi/180))
	}
	return x
}

var rates = []int{44100, 48000, 96000}

// EBU Tech 3341 v4 table 1, cases 15 to 19: sines whose samples miss the peak.
func TestTech3341Sines(t *testing.T) {
	cases := []struct {
		name                      string
		share, amplitude, degrees float64
		want                      float64
	}{
		{"15", 1. / 4, 0.50, 0, -6},
		{"16", 1. / 4, 0.50, 45, -6},
		{"17", 1. / 6, 0.50, 60, -6},
		{"18", 1. / 8, 0.50, 67.5, -6},
		{"19", 1. / 4, 1.41, 45, 3},
	}
	for _, c := range cases {
		for _, rate := range rates {
			got := measure(rate, fadedSine(rate, c.share, c.amplitude, c.degrees)).TruePeak
			if !(got <= c.want+tech3341Over && got >= c.want-tech3341Under) {
				t.Errorf("case %s at %d: got %.3f, want %.1f", c.name, rate, got, c.want)
			}
		}
	}
}

// Cases 20 to 23: one period of fs/4 at full scale within fs/6 at half of it,
// made at four times the rate, low-passed and decimated at four offsets.
func TestTech3341Bursts(t *testing.T) {
	for offset := range 4 {
		x := burst(offset)
		for _, rate := range rates {
			got := measure(rate, x).TruePeak
			if !(got <= tech3341Over && got >= -tech3341Under) {
				t.Errorf("case %d at %d: got %.3f, want 0.0", 20+offset, rate, got)
			}
		}
	}
}

// burst makes a second of cases 20 to 23 for a rate of 48000; the shape in
// samples is the same at any rate.
func burst(offset int) []float32 {
	const n, over = 12000, 4
	high := make([]float64, n*over)
	phase := 0.0
	start := n * over / 2 / 24 * 24 // at a zero of the slow sine: 24 points a period
	for i := range high {
		share, amplitude := 1./6, 0.5
		if i >= start && i < start+4*over {
			share, amplitude = 1./4, 1.0
		}
		edge := min(1, float64(min(i, len(high)-1-i))/480)
		high[i] = edge * amplitude * math.Sin(phase)
		phase += 2 * math.Pi * share / over
	}
	x := make([]float32, n)
	const half = 200
	for i := range x {
		sum := 0.0
		for j := -half; j <= half; j++ {
			if k := i*over + offset + j; k >= 0 && k < len(high) {
				hann := 0.5 + 0.5*math.Cos(math.Pi*float64(j)/(half+1))
				sum += high[k] * hann * dsp.Sinc(float64(j)/over) / over
			}
		}
		x[i] = float32(sum)
	}
	return x
}

// reference is the true peak by brute force at 16 times the rate, in dB: the
// sum of sinc functions over the whole signal, which is what band-limited
// interpolation means, at every point that could matter. A signal of n samples
// costs 16 n^2, so it is kept short; the tails past its ends are followed for
// 64 samples.
//
//	y(t) = sum over k of x[k] sin(pi (t - k)) / (pi (t - k))
//	     = sin(pi t)/pi sum over k of x[k] (-1)^k / (t - k)
func reference(x []float32) float64 {
	const tail = 64
	alternating := make([]float64, len(x))
	peak := 0.0
	for k, v := range x {
		alternating[k] = float64(v)
		if k%2 == 1 {
			alternating[k] = -alternating[k]
		}
		peak = max(peak, math.Abs(float64(v)))
	}
	for i := -tail; i < len(x)+tail; i++ {
		for p := 1; p < 16; p++ {
			t := float64(i) + float64(p)/16
			sum := 0.0
			for k, v := range alternating {
				sum += v / (t - float64(k))
			}
			peak = max(peak, math.Abs(sum*math.Sin(math.Pi*t)/math.Pi))
		}
	}
	return 20 * math.Log10(peak)
}

// material is what a true-peak meter meets: each gives n samples.
var material = []struct {
	name string
	make func(r *rand.Rand, n int) []float64
}{
	{"noise", func(r *rand.Rand, n int) []float64 {
		return fill(n, func(int) float64 { return r.NormFloat64() * 0.3 })
	}},
	{"clipped noise", func(r *rand.Rand, n int) []float64 {
		return bandLimit(fill(n, func(int) float64 { return clip(r.NormFloat64()) }))
	}},
	{"soft noise", func(r *rand.Rand, n int) []float64 {
		last := 0.0
		return fill(n, func(int) float64 { last += 0.3 * (r.NormFloat64() - last); return last })
	}},
	{"clipped bass and noise", func(r *rand.Rand, n int) []float64 {
		hz := 40 + 60*r.Float64()
		return fill(n, func(i int) float64 { return clip(1.5*math.Sin(2*math.Pi*hz*float64(i)/44100) + 0.3*r.NormFloat64()) })
	}},
	{"clipped chord", func(r *rand.Rand, n int) []float64 {
		f := r.Float64()*0.02 + 0.01
		return fill(n, func(i int) float64 {
			s := 0.0
			for h := 1.0; h < 12; h++ {
				s += math.Sin(2*math.Pi*f*h*float64(i)*1.001) / h
			}
			return clip(1.2 * s)
		})
	}},
	{"square", func(r *rand.Rand, n int) []float64 {
		period := 6 + 90*r.Float64()
		return bandLimit(fill(n, func(i int) float64 { return 0.9 * math.Copysign(1, math.Sin(2*math.Pi*float64(i)/period)) }))
	}},
	{"click", func(r *rand.Rand, n int) []float64 {
		return fill(n, func(i int) float64 {
			return map[bool]float64{true: 0.8, false: 0.01 * r.NormFloat64()}[i == n/3 || i == n/3+1]
		})
	}},
	{"high sine", func(r *rand.Rand, n int) []float64 {
		f, p := 0.30+0.15*r.Float64(), r.Float64()*6
		return fill(n, func(i int) float64 { return 0.7 * math.Sin(2*math.Pi*f*float64(i)+p) })
	}},
	{"starts loud", func(r *rand.Rand, n int) []float64 {
		return fill(n, func(i int) float64 { return math.Exp(-float64(i)/20) * math.Cos(2.1*float64(i)) })
	}},
	{"ends loud", func(r *rand.Rand, n int) []float64 {
		return fill(n, func(i int) float64 { return math.Exp(-float64(n-1-i)/20) * math.Cos(2.1*float64(n-1-i)) })
	}},
}

func fill(n int, f func(i int) float64) []float64 {
	x := make([]float64, n)
	for i := range x {
		x[i] = f(i)
	}
	return x
}

// bandLimit takes off what lies above 0.96 of half the sample rate (21.2 kHz at
// 44.1 kHz). Clipped at the sample rate itself, white noise and short squares
// are as strong at half the rate as anywhere, and their ideal interpolation
// hangs on every sample of the track; no filter of finite length gives it.
func bandLimit(x []float64) []float64 {
	f := fourier.NewFFT(len(x))
	c := f.Coefficients(nil, x)
	clear(c[int(0.96*float64(len(c))):])
	x = f.Sequence(nil, c)
	for i := range x {
		x[i] /= float64(len(x))
	}
	return x
}

func clip(v float64) float64 { return max(-0.97, min(0.97, v)) }

// Never under-reads the 16x reference by more than 0.1 dB, nor over-reads it
// by more than the parabola and the filter's ripple can explain.
func TestAgainstBruteForce(t *testing.T) {
	const under, over = 0.1, 0.1
	const samples, trials = 1500, 6
	for _, kind := range material {
		t.Run(kind.name, func(t *testing.T) {
			t.Parallel()
			lowest, highest := 0.0, 0.0
			for seed := range uint64(trials) {
				x := toSingle(kind.make(rand.New(rand.NewPCG(seed, 7)), samples))
				diff := measure(44100, x).TruePeak - reference(x)
				lowest, highest = min(lowest, diff), max(highest, diff)
			}
			if lowest < -under || highest > over {
				t.Errorf("from %.3f to %.3f dB off", lowest, highest)
			}
			t.Logf("from %.3f to %.3f dB off", lowest, highest)
		})
	}
}

func toSingle(x []float64) []float32 {
	y := make([]float32, len(x))
	for i, v := range x {
		y[i] = float32(v)
	}
	return y
}

// What is passed over must not matter: the meter finds the same peak as one
// that refines every interval.
func TestNothingIsMissed(t *testing.T) {
	const tolerance = 1e-6 // dB
	for _, kind := range material {
		for seed := range uint64(3) {
			x := toSingle(kind.make(rand.New(rand.NewPCG(seed, 11)), 20000))
			got := measure(44100, x)
			m := New(44100, 1)
			want := exhaustive(m.kernel, x)
			if d := got.TruePeak - want; math.Abs(d) > tolerance {
				t.Errorf("%s %d: got %.5f, every interval gives %.5f", kind.name, seed, got.TruePeak, want)
			}
		}
	}
}

// exhaustive is the peak with the same filter and parabola, looked for
// everywhere.
func exhaustive(k *kernel, x []float32) float64 {
	padded := make([]float32, len(x)+8*halfTaps)
	copy(padded[4*halfTaps:], x)
	var y []float32
	for i := halfTaps; i+2*halfTaps < len(padded); i++ {
		for p := range oversampling {
			y = append(y, magnitude(k.at(p, padded[i-halfTaps+1:])))
		}
	}
	peak := float32(0)
	for i := 1; i+1 < len(y); i++ {
		v, _ := vertex(y[i-1], y[i], y[i+1])
		peak = max(peak, v)
	}
	return decibels(peak)
}

// Every frequency up to 20 kHz at 44.1 kHz, and its share of other rates.
func TestFlat(t *testing.T) {
	const tolerance = 0.03 // dB
	for share := 0.005; share <= 20000.0/44100; share += 0.0123 {
		got := measure(44100, fadedSine(44100, share, 0.5, 33)).TruePeak
		if math.Abs(got-20*math.Log10(0.5)) > tolerance {
			t.Errorf("%.0f Hz: %.3f dB", share*44100, got)
		}
	}
}

func TestResultFields(t *testing.T) {
	x := make([]float32, 48000)
	x[12345] = -0.5
	for c := range 8 {
		channels := make([][]float32, 8)
		for i := range channels {
			channels[i] = make([]float32, len(x))
		}
		channels[c] = x
		r := measure(48000, channels...)
		if math.Abs(r.SamplePeak+6.0206) > 1e-3 || math.Abs(r.TruePeak+6.0206) > 1e-3 || math.Abs(r.At-12345.0/48000) > 1e-6 {
			t.Errorf("channel %d: %+v", c, r)
		}
	}
	if r := measure(48000, make([]float32, 48000)); !math.IsNaN(r.TruePeak) || !math.IsNaN(r.SamplePeak) || !math.IsNaN(r.At) {
		t.Errorf("silence: %+v", r)
	}
}

// The place is that of the peak between samples: a sine that peaks a quarter
// of a sample after sample 1000 under a slow bell.
func TestPosition(t *testing.T) {
	const at, tolerance = 1000.25, 0.02 // samples
	x := make([]float32, 2000)
	for i := range x {
		d := float64(i) - at
		x[i] = float32(0.8 * math.Exp(-d*d/40000) * math.Cos(2*math.Pi*0.2*d))
	}
	if got := measure(8000, x).At * 8000; math.Abs(got-at) > tolerance {
		t.Errorf("found at sample %.3f, want %.2f", got, at)
	}
}

// Any way of cutting a track into blocks gives the same result to the bit.
func TestBlockSizeDoesNotMatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
		n := rapid.IntRange(1, 30000).Draw(t, "samples")
		x := toSingle(fill(n, func(int) float64 { return clip(0.5 * r.NormFloat64()) }))
		whole := New(44100, 2)
		whole.Write([][]float32{x, x})
		cut := New(44100, 2)
		for from := 0; from < n; {
			to := min(n, from+rapid.IntRange(1, 9000).Draw(t, "block"))
			cut.Write([][]float32{x[from:to], x[from:to]})
			from = to
		}
		if diff := cmp.Diff(whole.Result(), cut.Result()); diff != "" {
			t.Fatal(diff)
		}
	})
}

// The Duffin-Schaeffer cosine, by which quarter samples decide, checked on the
// signals here: near the highest peak no value is lower than it allows.
func TestCosineBound(t *testing.T) {
	k := newKernel()
	for _, kind := range material {
		x := toSingle(kind.make(rand.New(rand.NewPCG(5, 5)), 4000))
		r := measure(1, x)
		peak := math.Pow(10, r.TruePeak/20)
		i, frac := math.Modf(r.At)
		for p := range oversampling {
			d := float64(p)/oversampling - frac
			from := int(i) - halfTaps + 1
			if math.Abs(d) > 0.125 || from < 0 || from+2*halfTaps > len(x) {
				continue
			}
			if v := float64(magnitude(k.at(p, x[from:]))); v < quarterShare*peak {
				t.Errorf("%s: %.3f of the peak at distance %.3f", kind.name, v/peak, d)
			}
		}
	}
}
