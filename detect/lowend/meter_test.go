package lowend

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/dsp/fourier"
)

// Tolerances the project asks for, in dB.
const (
	levelDB = 0.1
	monoDB  = 0.05
)

var rates = []int{44100, 48000, 96000}

// write sends channels to a meter in blocks of an odd size.
func write(m *Meter, channels ...[]float32) *Meter {
	block := make([][]float32, len(channels))
	for from := 0; from < len(channels[0]); from += 4001 {
		for c := range block {
			block[c] = channels[c][from:min(from+4001, len(channels[c]))]
		}
		m.Write(block)
	}
	return m
}

func measure(rate int, channels ...[]float32) Result {
	return write(New(rate, len(channels)), channels...).Over(0, math.Inf(1))
}

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: got %.3f, want %.3f within %.3f", what, got, want, tolerance)
	}
}

// tone is a sine: hertz, amplitude, degrees.
type tone struct{ hz, amplitude, degrees float64 }

func tones(rate int, seconds float64, all ...tone) []float32 {
	x := make([]float32, int(seconds*float64(rate)))
	for i := range x {
		for _, t := range all {
			x[i] += float32(t.amplitude * math.Sin(2*math.Pi*t.hz*float64(i)/float64(rate)+t.degrees*math.Pi/180))
		}
	}
	return x
}

// Known answers: the ratio of the squares of the amplitudes.
func TestTones(t *testing.T) {
	cases := []struct {
		name           string
		tones          []tone
		low, sub, bass float64 // NaN where only leakage is left
	}{
		{"sub and middle", []tone{{45, 0.4, 0}, {1000, 0.2, 0}}, 6.02, 6.02, math.NaN()},
		{"bass and middle", []tone{{100, 0.2, 0}, {1000, 0.4, 0}}, -6.02, math.NaN(), -6.02},
		{"sub, bass and top", []tone{{50, 0.4, 10}, {110, 0.2, 50}, {9000, 0.1, 0}}, 10 * math.Log10(20), 12.04, 6.02},
		{"just above", []tone{{60 - 5, 0.3, 0}, {160, 0.3, 0}}, 0, 0, math.NaN()},
		{"where the lower transforms meet", []tone{{120, 0.3, 0}, {164, 0.3, 0}}, 0, math.NaN(), 0},
		{"where the lowest begins to fade", []tone{{120, 0.3, 0}, {151.2, 0.3, 0}}, 0, math.NaN(), 0},
		{"where it has faded", []tone{{120, 0.3, 0}, {177.5, 0.3, 0}}, 0, math.NaN(), 0},
		{"where the transforms meet", []tone{{120, 0.3, 0}, {450, 0.3, 0}}, 0, math.NaN(), 0},
		{"at their lower limit", []tone{{120, 0.3, 0}, {355, 0.3, 0}}, 0, math.NaN(), 0},
		{"at their upper limit", []tone{{120, 0.3, 0}, {562, 0.3, 0}}, 0, math.NaN(), 0},
		{"far apart", []tone{{50, 0.9, 0}, {3000, 0.9 / math.Sqrt(1000), 0}}, 30, 30, math.NaN()},
		{"thin", []tone{{50, 0.005, 0}, {3000, 0.5, 0}}, -40, -40, math.NaN()},
		{"below 20 Hz and above 20 kHz left out", []tone{{10, 0.5, 0}, {50, 0.2, 0}, {2000, 0.2, 0}, {21500, 0.2, 0}}, 0, 0, math.NaN()},
	}
	for _, rate := range rates {
		for _, c := range cases {
			x := tones(rate, 10, c.tones...)
			r := measure(rate, x, x)
			name := fmt.Sprint(c.name, " at ", rate)
			near(t, name+", low", r.Low, c.low, levelDB)
			if !math.IsNaN(c.sub) {
				near(t, name+", sub", r.Sub, c.sub, levelDB)
			}
			if !math.IsNaN(c.bass) {
				near(t, name+", bass", r.Bass, c.bass, levelDB)
			}
			near(t, name+", mono loss", r.MonoLoss, 0, monoDB)
		}
	}
}

// The same two tones at every rate.
func TestEveryRate(t *testing.T) {
	for _, rate := range []int{8000, 11025, 16000, 22050, 32000, 88200, 176400, 192000} {
		x := tones(rate, 10, tone{50, 0.4, 0}, tone{100, 0.2, 0}, tone{700, 0.2, 0})
		r := measure(rate, x, x)
		near(t, fmt.Sprint("low at ", rate), r.Low, 10*math.Log10(5), levelDB)
		near(t, fmt.Sprint("sub at ", rate), r.Sub, 6.02, levelDB)
		near(t, fmt.Sprint("bass at ", rate), r.Bass, 0, levelDB)
	}
}

// Noise with an exact spectrum of -4.5 dB an octave: the ratios are integrals.
//
//	P(a,b) = integral of f^-1.5 from a to b = 2 (a^-0.5 - b^-0.5)
func TestShapedNoise(t *testing.T) {
	power := func(a, b float64) float64 { return 2 * (1/math.Sqrt(a) - 1/math.Sqrt(b)) }
	db := func(a, b float64) float64 { return 10 * math.Log10(power(a, b)/power(150, 20000)) }
	for _, rate := range rates {
		n := 60 * rate
		x := noise(n, rate, 1, func(hz float64) float64 { return math.Pow(hz, -1.5) })
		y := noise(n, rate, 2, func(hz float64) float64 { return math.Pow(hz, -1.5) })
		r := measure(rate, x, y)
		near(t, "low", r.Low, db(20, 150), levelDB)
		near(t, "sub", r.Sub, db(20, 60), levelDB)
		near(t, "bass", r.Bass, db(60, 150), levelDB)
	}
}

// noise has exactly the given power in every bin and random phases; nothing
// below 5 Hz.
func noise(n, rate int, seed uint64, power func(hz float64) float64) []float32 {
	r := rand.New(rand.NewPCG(seed, 3))
	c := make([]complex128, n/2+1)
	for k := range c {
		if hz := float64(k) * float64(rate) / float64(n); hz > 5 {
			sin, cos := math.Sincos(2 * math.Pi * r.Float64())
			c[k] = complex(cos, sin) * complex(1e-3*math.Sqrt(power(hz)), 0)
		}
	}
	x := make([]float32, n)
	for i, v := range fourier.NewFFT(n).Sequence(nil, c) {
		x[i] = float32(v)
	}
	return x
}

// Exact values: for equal sides at a phase of phi, 20 log10 |cos(phi/2)|; for
// one side alone and for unrelated sides, -3.01 dB.
func TestMonoLoss(t *testing.T) {
	for _, rate := range rates {
		for _, c := range []struct{ degrees, want float64 }{
			{0, 0}, {60, -1.25}, {90, -3.01}, {120, -6.02}, {150, -11.74},
		} {
			for _, hz := range []float64{40, 80, 130} {
				left := tones(rate, 8, tone{hz, 0.5, 0}, tone{1000, 0.1, 0})
				right := tones(rate, 8, tone{hz, 0.5, c.degrees}, tone{1000, 0.1, 0})
				near(t, fmt.Sprintf("%.0f degrees at %.0f Hz", c.degrees, hz), measure(rate, left, right).MonoLoss, c.want, monoDB)
			}
		}
		x := tones(rate, 8, tone{50, 0.5, 0}, tone{1000, 0.1, 0})
		opposite := tones(rate, 8, tone{50, 0.5, 180}, tone{1000, 0.1, 0})
		near(t, "one side", measure(rate, x, make([]float32, len(x))).MonoLoss, -3.01, monoDB)
		near(t, "mono file", measure(rate, x).MonoLoss, 0, 0)
		if got := measure(rate, x, opposite).MonoLoss; !(got < -60) {
			t.Errorf("opposite phase: %.2f", got)
		}
	}
}

// Unrelated noise loses 3.01 dB; over 60 s the measured correlation is not
// exactly 0, so the answer is that of the signals' own time-domain products.
func TestMonoLossOfNoise(t *testing.T) {
	const rate, n = 44100, 60 * 44100
	band := func(hz float64) float64 {
		if hz > 25 && hz < 140 {
			return 1
		}
		return 0
	}
	x, y := noise(n, rate, 3, band), noise(n, rate, 4, band)
	var xx, yy, xy float64
	for i := range x {
		xx += float64(x[i]) * float64(x[i])
		yy += float64(y[i]) * float64(y[i])
		xy += float64(x[i]) * float64(y[i])
	}
	near(t, "loss", measure(rate, x, y).MonoLoss, 10*math.Log10((1+2*xy/(xx+yy))/2), monoDB)
}

// More channels: equal ones lose nothing, and the low-frequency channel of a
// 5.1 file takes no part.
func TestMonoLossOfMoreChannels(t *testing.T) {
	x := tones(48000, 5, tone{50, 0.3, 0}, tone{500, 0.1, 0})
	opposite := tones(48000, 5, tone{50, 0.3, 180}, tone{500, 0.1, 0})
	quiet := make([]float32, len(x))
	near(t, "three equal", measure(48000, x, x, x).MonoLoss, 0, monoDB)
	near(t, "5.1, LFE opposite", measure(48000, x, x, x, opposite, x, x).MonoLoss, 0, monoDB)
	near(t, "two of four", measure(48000, x, x, quiet, quiet).MonoLoss, -3.01, monoDB)
	near(t, "one of eight opposite, LFE silent", measure(48000, x, x, x, quiet, x, x, x, opposite).MonoLoss,
		20*math.Log10(5.0/7), monoDB)
}

// Windows: what is asked for is what was there.
func TestOver(t *testing.T) {
	first := tones(44100, 30, tone{50, 0.4, 0}, tone{1000, 0.4, 0})
	second := tones(44100, 30, tone{50, 0.4, 0}, tone{1000, 0.1, 0})
	x := append(first, second...)
	m := write(New(44100, 2), x, x)
	near(t, "first", m.Over(0, 30).Low, 0, levelDB)
	// The step that the change falls into counts in part: up to 0.2 s of the
	// louder half in 30 s of one 12 dB lower.
	near(t, "second", m.Over(30, 60).Low, 12.04, 2*levelDB)
	near(t, "second, clear of the change", m.Over(30.4, 60).Low, 12.04, levelDB)
	near(t, "inside", m.Over(33.3, 47.1).Low, 12.04, levelDB)
	near(t, "both", m.Over(0, 60).Low, 10*math.Log10(0.32/0.17), levelDB)
}

func TestWhatExists(t *testing.T) {
	quiet := make([]float32, 48000)
	for _, r := range []Result{measure(48000, quiet, quiet), New(48000, 2).Over(0, 30)} {
		if !math.IsNaN(r.Low) || !math.IsNaN(r.Sub) || !math.IsNaN(r.Bass) || !math.IsNaN(r.MonoLoss) {
			t.Errorf("silence: %+v", r)
		}
	}
}

// Limits: a tone 1 Hz inside 20, 60 or 150 Hz counts whole, and one as far
// outside not at all.
func TestLimits(t *testing.T) {
	const least = -25.0 // dB, of what is left of a tone on the wrong side
	for _, rate := range rates {
		for _, c := range []struct {
			hz      float64
			in, out func(Result) float64
		}{
			{19, nil, func(r Result) float64 { return r.Sub }},
			{21, func(r Result) float64 { return r.Sub }, func(r Result) float64 { return r.Bass }},
			{59, func(r Result) float64 { return r.Sub }, func(r Result) float64 { return r.Bass }},
			{61, func(r Result) float64 { return r.Bass }, func(r Result) float64 { return r.Sub }},
			{149, func(r Result) float64 { return r.Bass }, func(r Result) float64 { return r.Sub }},
			{151, nil, func(r Result) float64 { return r.Bass }},
		} {
			r := measure(rate, tones(rate, 20, tone{c.hz, 0.02, 0}, tone{1000, 0.2, 0}))
			if c.in != nil {
				near(t, fmt.Sprintf("%g Hz at %d", c.hz, rate), c.in(r), -20, levelDB)
			}
			if got := c.out(r); !(got < -20+least) && !math.IsNaN(got) {
				t.Errorf("%g Hz at %d: %.1f dB on the wrong side", c.hz, rate, got)
			}
		}
	}
}
