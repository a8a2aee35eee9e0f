package mp3

import (
	"math"
	"strings"
	"testing"
)

// peakTolerance in dB, between true peaks of two decoders.
const peakTolerance = 0.05

// truePeak is the largest value of x oversampled four times, in dB: the method of
// ITU-R BS.1770-5 annex 2, with a longer interpolator than its example, 32 samples
// of a sinc under a Hann window.
func truePeak(x [][]float32) float64 {
	const half, up = 16, 4
	var h [up][2 * half]float64
	for p := range up {
		for i := range h[p] {
			t := float64(i-half+1) - float64(p)/up
			h[p][i] = sinc(t) * (0.5 + 0.5*math.Cos(math.Pi*t/half))
		}
	}
	peak := 0.0
	for _, c := range x {
		for i := 0; i+2*half <= len(c); i++ {
			for p := range up {
				s := 0.0
				for k, v := range c[i : i+2*half] {
					s += float64(v) * h[p][k]
				}
				peak = max(peak, math.Abs(s))
			}
		}
	}
	return 20 * math.Log10(peak)
}

// A loud master goes above full scale when it is encoded. Nothing of that may be
// clipped: the true peak is that of mpg123's float output.
func TestAboveFullScale(t *testing.T) {
	for _, args := range []string{"-b 128", "-b 320"} {
		t.Run(args, func(t *testing.T) {
			path := encode(t, wavFile(t, "master", 4*44100, 44100, 2), strings.Fields(args)...)
			got, _ := ours(t, readFile(t, path))
			a, b := truePeak(got), truePeak(mpg123(t, path, 2))
			t.Logf("true peak %.3f dBTP, mpg123 %.3f dBTP", a, b)
			if math.Abs(a-b) > peakTolerance {
				t.Errorf("true peak %.3f dBTP, mpg123 has %.3f", a, b)
			}
			if b <= 0 {
				t.Errorf("mpg123 reads %.3f dBTP: the material does not go above full scale", b)
			}
		})
	}
}
