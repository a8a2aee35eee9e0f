package width

import (
	"math"
	"math/rand/v2"
	"testing"

	"dubgauge/detect/spectrum"
)

const rate = 44100

// measure writes two channels to a meter.
func measure(left, right []float32, from, to float64) Result {
	m := spectrum.New(rate, 2)
	m.Write([][]float32{left, right})
	return Of(m, from, to)
}

func noise(n int, seed uint64) []float32 {
	r := rand.New(rand.NewPCG(seed, 1))
	x := make([]float32, n)
	for i := range x {
		x[i] = float32(0.1 * r.NormFloat64())
	}
	return x
}

// TestCorrelation: a share of one source in both channels. With L = a and R = g a + k b,
// b as strong as a, r = 2g / (1 + g^2 + k^2), the formula of the package.
func TestCorrelation(t *testing.T) {
	a, b := noise(30*rate, 1), noise(30*rate, 2)
	for _, c := range []struct{ g, k float64 }{{1, 0}, {-1, 0}, {0, 1}, {0.5, 0.5}, {0.8, 0.6}, {0, 0}, {-0.3, 0.9}} {
		right := make([]float32, len(a))
		for i := range a {
			right[i] = float32(c.g*float64(a[i]) + c.k*float64(b[i]))
		}
		got := measure(a, right, 0, 30).LowCorrelation
		want := 2 * c.g / (1 + c.g*c.g + c.k*c.k)
		// 130 Hz of noise over 30 s have some 3,900 independent values: 1/sqrt is 0.016.
		if !(math.Abs(got-want) < 0.04) {
			t.Errorf("%+v: %.3f, want %.3f", c, got, want)
		}
	}
}

// TestWorstPlace: a tone at 1 kHz that is opposite in both channels for some seconds,
// 20 dB louder than the noise in its band, is named with its band and its place; the same
// tone where the music is 30 dB down, or 45 dB under the rest, is not heard.
func TestWorstPlace(t *testing.T) {
	a := noise(60*rate, 3)
	tone := func(amplitude float64, from, to float64) (left, right []float32) {
		left, right = append([]float32(nil), a...), append([]float32(nil), a...)
		for i := int(from * rate); i < int(to*rate); i++ {
			v := float32(amplitude * math.Sin(2*math.Pi*1000*float64(i)/rate))
			left[i], right[i] = left[i]+v, right[i]-v
		}
		return left, right
	}
	left, right := tone(0.2, 40, 46)
	r := measure(left, right, 0, 30)
	if !r.Exists() || r.Hz != 1000 || r.At < 41 || r.At > 45.5 {
		t.Errorf("%+v, planted at 1 kHz from 40 to 46 s", r)
	}
	// The noise of the 1 kHz band has 0.1^2 * 230/22050 a channel, the tone 0.02: 22.8 dB.
	if want := -10 * math.Log10(1+0.02/(0.01*230/22050.0)); math.Abs(r.Worst-want) > 0.5 {
		t.Errorf("%.2f dB lost, want %.2f", r.Worst, want)
	}
	left, right = tone(0.0002, 40, 46)
	if r := measure(left, right, 0, 30); r.Worst < -0.2 {
		t.Errorf("a tone under the noise loses %.2f dB at %.0f Hz", r.Worst, r.Hz)
	}
	left, right = tone(0.2, 40, 46)
	for i := 36 * rate; i < 50*rate; i++ {
		left[i], right[i] = left[i]/100, right[i]/100
	}
	if r := measure(left, right, 0, 30); r.Worst < -0.2 {
		t.Errorf("in a break 40 dB down %.2f dB are lost at %.1f s", r.Worst, r.At)
	}
}

// TestQuietBand: what lies more than 30 dB under the rest of its window is not heard.
func TestQuietBand(t *testing.T) {
	n := 20 * rate
	left, right := make([]float32, n), make([]float32, n)
	for _, c := range []struct {
		amplitude float64
		heard     bool
	}{{0.02, true}, {0.01, false}} { // 28 and 34 dB under a tone of 0.5
		for i := range left {
			low := 0.5 * math.Sin(2*math.Pi*100*float64(i)/rate)
			high := c.amplitude * math.Sin(2*math.Pi*5000*float64(i)/rate)
			left[i], right[i] = float32(low+high), float32(low-high)
		}
		r := measure(left, right, 0, 20)
		if heard := r.Hz == 5000 && r.Worst < -20; heard != c.heard {
			t.Errorf("amplitude %g: %+v", c.amplitude, r)
		}
	}
}

// TestNoWidth: silence and one channel have none.
func TestNoWidth(t *testing.T) {
	if r := measure(make([]float32, 5*rate), make([]float32, 5*rate), 0, 5); r.Exists() || !math.IsNaN(r.LowCorrelation) {
		t.Errorf("silence has %+v", r)
	}
	m := spectrum.New(rate, 1)
	m.Write([][]float32{noise(5*rate, 4)})
	if r := Of(m, 0, 5); r.Exists() {
		t.Errorf("one channel has %+v", r)
	}
	x := noise(5*rate, 5)
	if r := measure(x, x, 0, 5); !(r.Worst > -0.001) || !(r.LowCorrelation > 0.9999) {
		t.Errorf("two equal channels have %+v", r)
	}
}

// Equal channels lose nothing; the place then is the first window and the first band that
// count, whatever the transform's rounding leaves of their difference.
func TestEqualChannelsHaveNoWorstPlace(t *testing.T) {
	a := noise(20*rate, 6)
	got := measure(a, a, 0, 20)
	// Of white noise up to 20 kHz a third octave of 20 Hz, about 90 Hz, has 30 dB less than all.
	if got.Worst != 0 || got.At != windowSeconds/2 || got.Hz > 100 {
		t.Errorf("%+v", got)
	}
	// A difference of 52 dB under the sum, in a second out of four, is one.
	b := append([]float32(nil), a...)
	for i := 10 * rate; i < 11*rate; i++ {
		b[i] *= 0.99
	}
	if got := measure(a, b, 0, 20); !(got.Worst < 0 && got.Worst > -0.001 && math.Abs(got.At-10.5) < windowSeconds) {
		t.Errorf("a second that is 0.09 dB down: %+v", got)
	}
}
