package spectrum

import (
	"fmt"
	"math"
	"testing"
)

// maskPoint is one corner of a mask: a frequency over the exact centre, and
// the least and the most attenuation allowed there in dB.
type maskPoint struct{ ratio, least, most float64 }

// classOne are the limits of class 1 for third octaves above the centre (IEC
// 61260-1:2014, table 1, corners of annex F); below it they are mirrored on
// a logarithmic axis. At the band's limit they jump.
var classOne = []maskPoint{
	{1, -0.4, 0.4}, {1.02667, -0.4, 0.5}, {1.05575, -0.4, 0.7}, {1.08746, -0.4, 1.4}, {1.12202, -0.4, 5.3},
	{1.12202, 1.2, math.Inf(1)}, {1.29437, 16.6, math.Inf(1)}, {1.88173, 40.5, math.Inf(1)},
	{3.05365, 60, math.Inf(1)}, {5.39195, 70, math.Inf(1)},
}

// limits interpolates between the corners linearly over the logarithm of
// frequency, as the standard does.
func limits(ratio float64) (least, most float64) {
	if ratio < 1 {
		ratio = 1 / ratio
	}
	for i := 1; i < len(classOne); i++ {
		a, b := classOne[i-1], classOne[i]
		if ratio < b.ratio {
			part := math.Log(ratio/a.ratio) / math.Log(b.ratio/a.ratio)
			least, most = a.least+part*(b.least-a.least), math.Inf(1)
			if !math.IsInf(b.most, 1) {
				most = a.most + part*(b.most-a.most)
			}
			return least, most
		}
	}
	return classOne[len(classOne)-1].least, math.Inf(1)
}

// excess is how far an attenuation lies outside the mask in dB, negative
// inside.
func excess(ratio, attenuation float64) float64 {
	least, most := limits(ratio)
	return max(least-attenuation, attenuation-most)
}

// attenuations of the lower bands for a steady sine, in dB.
func attenuations(rate int, hz float64) []float64 {
	x := sine(rate, 10, hz, 0.5)
	m := New(rate, 1)
	m.low.write([][]float32{x}) // the short frames take no part
	m.low.end(int64(len(x)))
	m.written, m.ended = int64(len(x)), true
	out := m.Over(4.5, 5.5)[:split] // no frame of up to 4.1 s reaches the ends
	for b := range out {
		out[b] = 10*math.Log10(0.5*0.5/2) - out[b]
		if math.IsNaN(out[b]) {
			out[b] = math.Inf(1)
		}
	}
	return out
}

// Every band from 20 to 500 Hz meets the limits of class 1 for steady sines:
// at a fine grid and on both sides of every corner of every band's mask. At
// 8000 Hz the bins of both layers are among the widest, at 8004 Hz the rate of
// the deep one is the lowest; above 1 kHz lies what folds onto the bands.
func TestClassOneMask(t *testing.T) {
	for _, rate := range []int{8000, 8004, 44100, 48000} {
		t.Run(fmt.Sprint(rate), func(t *testing.T) {
			t.Parallel()
			for _, hz := range maskSweep(testing.Short() || rate > 8004) {
				if hz > 0.45*float64(rate) {
					continue
				}
				for b, got := range attenuations(rate, hz) {
					if e := excess(hz/Exact(b), got); e > 0 {
						t.Errorf("band %g, sine of %.3f Hz: %.2f dB down, %.2f outside class 1", Centres[b], hz, got, e)
					}
				}
			}
		})
	}
}

// maskSweep are the sines: 100 a decade and the corners, or with coarse 40 a
// decade and the corners of every third band.
func maskSweep(coarse bool) []float64 {
	grid, every := 100.0, 1
	if coarse {
		grid, every = 40, 3
	}
	var out []float64
	for hz := 5.0; hz < 6000; hz *= math.Pow(10, 1/grid) {
		out = append(out, hz)
	}
	for b := 0; b < split; b += every {
		for _, p := range classOne[1:6] {
			for _, shift := range []float64{1 - 1e-4, 1 + 1e-4} {
				out = append(out, Exact(b)*p.ratio*shift, Exact(b)/p.ratio*shift)
			}
		}
	}
	return out
}

// What the decimators take is given back: inside the bands, at the lowest rates
// of both layers, a tone loses nothing.
func TestFlatInside(t *testing.T) {
	const tolerance = 0.005 // dB
	for hz, b := range map[float64]int{25: 1, 100: 7, 159: 9, 172: 9, 200: 10, 400: 13} {
		near(t, fmt.Sprintf("%g Hz", hz), attenuations(8004, hz)[b], 0, tolerance)
	}
	near(t, "550 Hz at 24016 Hz", attenuations(24016, 550)[14], 0, tolerance)
}
