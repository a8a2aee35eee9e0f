package loudness

import (
	"fmt"
	"math"
	"math/cmplx"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// The tables print 14 decimals.
const tableTolerance = 1e-13

// BS.1770-5 annex 1, tables 1 and 2. The high-pass gain that kWeighting moves
// about is 1 at this rate.
func TestCoefficientsAt48kHz(t *testing.T) {
	shelf, highPass := kWeighting(48000)
	got := []float64{shelf.b0, shelf.b1, shelf.b2, shelf.a1, shelf.a2, highPass.b0, highPass.b1, highPass.b2, highPass.a1, highPass.a2}
	want := []float64{
		1.53512485958697, -2.69169618940638, 1.19839281085285, -1.69065929318241, 0.73248077421585,
		1, -2, 1, -1.99004745483398, 0.99007225036621,
	}
	for i := range want {
		near(t, fmt.Sprint("coefficient ", i), got[i], want[i], tableTolerance)
	}
}

// gainDB is the gain of the K-weighting as the coefficients give it.
func gainDB(rate, hz float64) float64 {
	shelf, highPass := kWeighting(rate)
	z := cmplx.Exp(complex(0, -2*math.Pi*hz/rate))
	h := complex(1, 0)
	for _, b := range []biquad{shelf, highPass} {
		h *= (complex(b.b0, 0) + complex(b.b1, 0)*z + complex(b.b2, 0)*z*z) /
			(1 + complex(b.a1, 0)*z + complex(b.a2, 0)*z*z)
	}
	return 20 * math.Log10(cmplx.Abs(h))
}

// The standard asks for the response of 48 kHz at every rate.
func TestResponseAtOtherRates(t *testing.T) {
	const tolerance = 0.025 // a quarter of what BS.2217 grants a reading
	for _, rate := range allRates {
		for hz := 10.0; hz < min(20000, 0.46*float64(rate)); hz *= 1.05 {
			near(t, fmt.Sprintf("%.0f Hz at %d", hz, rate), gainDB(float64(rate), hz), gainDB(48000, hz), tolerance)
		}
	}
}

var allRates = []int{8000, 11025, 16000, 22050, 32000, 44100, 48000, 88200, 96000, 176400, 192000}

// BS.1770-5 annex 1: a 0 dBFS sine at 997 Hz in one of L, C and R reads -3.01
// LKFS.
func TestFullScaleSine(t *testing.T) {
	const tolerance = 0.02 // the standard prints two decimals and its constant three
	for _, rate := range allRates {
		x := toneAt(rate, 997, part{0, 3})
		near(t, fmt.Sprint("mono at ", rate), measure(rate, Weights(1, 0), x).Integrated, -3.01, tolerance)
	}
}

// kGain is the gain of K-weighting in dB as the project's notes have it from
// the official test tones.
var kGain = []struct {
	hz int
	dB float64
}{
	{25, -10.393}, {100, -1.133}, {500, 0.042}, {1000, 0.698}, {2000, 3.071}, {10000, 4.042},
}

// Report BS.2217-2: two-channel tones that read -23 and -24. Their level is
// the wanted one + 0.691 - gain.
func TestBS2217Tones(t *testing.T) {
	eachRate(t, func(t *testing.T, rate int) {
		for _, k := range kGain {
			for _, want := range []float64{-23, -24} {
				x := toneAt(rate, k.hz, part{want + 0.691 - k.dB, 10})
				near(t, fmt.Sprintf("%d Hz", k.hz), stereo(rate, x).Integrated, want, bs2217LU)
			}
		}
	})
}

// Report BS.2217-2, gate files; levels and lengths as measured from the
// official ones.
func TestBS2217Gates(t *testing.T) {
	eachRate(t, func(t *testing.T, rate int) {
		on, off := part{-69.47, 0.5}, part{silent, 0.5}
		absolute := []part{{silent, 0.8}, on, off, on, off, on, {silent, 0.7}}
		near(t, "absolute", stereo(rate, tone(rate, absolute...)).Integrated, -69.5, bs2217LU)
		relative := []part{off, {-19.9, 0.9}, {-7.1, 1.3}, {-19.9, 0.8}, off}
		near(t, "relative", stereo(rate, tone(rate, relative...)).Integrated, -10, bs2217LU)
	})
}

// Report BS.2217-2, frequency sweep that reads -18: exponential from 20 Hz to
// 20 kHz in 120 s, its amplitude the inverse of the K-weighting at 48 kHz.
func TestBS2217Sweep(t *testing.T) {
	const seconds = 120.0
	eachRate(t, func(t *testing.T, rate int) {
		x := make([]float32, int(seconds*float64(rate)))
		phase, gain := 0.0, 0.0
		for i := range x {
			hz := 20 * math.Pow(1000, float64(i)/float64(len(x)))
			if i%100 == 0 {
				gain = math.Pow(10, (-18+0.691-gainDB(48000, hz))/20)
			}
			phase += 2 * math.Pi * hz / float64(rate)
			x[i] = float32(gain * math.Sin(phase))
		}
		near(t, "sweep", stereo(rate, x).Integrated, -18, bs2217LU)
	})
}

// Report BS.2217-2, channel checks: each channel of 5.1 alone reads -24, the
// low-frequency channel nothing, all together the sum of five.
func TestBS2217Channels(t *testing.T) {
	level := func(g float64) float64 { return -24 + 0.691 - 0.698 - 10*math.Log10(g/2) } // one channel of weight g, peak of the sine
	eachRate(t, func(t *testing.T, rate int) {
		weights := Weights(6, 0x3F)
		quiet := make([]float32, 5*rate)
		for c, g := range []float64{1, 1, 1, 0, 1.41, 1.41} {
			channels := [][]float32{quiet, quiet, quiet, quiet, quiet, quiet}
			if g == 0 {
				channels[c] = tone(rate, part{-20, 5})
				if got := measure(rate, weights, channels...).Integrated; !math.IsNaN(got) {
					t.Errorf("low-frequency channel reads %.2f", got)
				}
				continue
			}
			channels[c] = tone(rate, part{level(g), 5})
			near(t, fmt.Sprint("channel ", c), measure(rate, weights, channels...).Integrated, -24, bs2217LU)
		}
		front, side := tone(rate, part{level(5), 5}), tone(rate, part{level(5 * 1.41), 5})
		all := measure(rate, weights, front, front, front, quiet, side, side)
		near(t, "summing", all.Integrated, -24, bs2217LU)
	})
}

// Weights of BS.1770-5 annex 3 (by azimuth) for the layouts of
// WAVEFORMATEXTENSIBLE.
func TestWeights(t *testing.T) {
	const s = 1.41
	cases := []struct {
		name     string
		channels int
		mask     uint32
		want     []float64
	}{
		{"mono", 1, 0, []float64{1}},
		{"mono, centre", 1, 0x4, []float64{1}},
		{"stereo", 2, 0, []float64{1, 1}},
		{"three", 3, 0, []float64{1, 1, 1}},
		{"2.1", 3, 0xB, []float64{1, 1, 0}},
		{"quad", 4, 0, []float64{1, 1, s, s}},
		{"L R C back", 4, 0x107, []float64{1, 1, 1, 1}},
		{"5.0", 5, 0, []float64{1, 1, 1, s, s}},
		{"5.1, back", 6, 0x3F, []float64{1, 1, 1, 0, s, s}},
		{"5.1, side", 6, 0x60F, []float64{1, 1, 1, 0, s, s}},
		{"6.1", 7, 0, []float64{1, 1, 1, 0, 1, s, s}},
		{"7.1", 8, 0, []float64{1, 1, 1, 0, 1, 1, s, s}},
		{"7.1 with front centres", 8, 0xFF, []float64{1, 1, 1, 0, s, s, 1, 1}},
		{"more channels than positions", 4, 0x3, []float64{1, 1, 1, 1}},
		{"more positions than channels", 2, 0x3F, []float64{1, 1}},
	}
	for _, c := range cases {
		if diff := cmp.Diff(c.want, Weights(c.channels, c.mask)); diff != "" {
			t.Errorf("%s: %s", c.name, diff)
		}
	}
}
