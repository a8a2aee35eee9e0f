package truepeak

import "math"

// The interpolation filter: a sinc cut off at half the sample rate under a
// Kaiser window, one phase for each eighth of a sample.
const (
	// oversampling brings every rate from 24 kHz up to the 192 kHz that
	// BS.1770-5 annex 2 asks for; below that it is still 8 times.
	oversampling = 8
	// halfTaps is the number of samples used on each side. The annex's own
	// filter has 6; more keep it flat closer to half the sample rate.
	halfTaps = 24
	// kaiserBeta sets side lobes of about -65 dB.
	kaiserBeta = 6.0
)

// kernel holds the taps of a phase: kernel[p][k] weighs sample i-halfTaps+1+k
// to give the value p eighths after sample i.
type kernel [oversampling][2 * halfTaps]float32

// newKernel makes the filter.
//
//	h(t) = sinc(t) I0(beta sqrt(1-(t/T)^2)) / I0(beta), T = halfTaps
//
// Each phase is scaled to a sum of 1, so that a constant stays itself.
func newKernel() *kernel {
	var k kernel
	for p := range k {
		frac := float64(p) / oversampling
		var taps [2 * halfTaps]float64
		sum := 0.0
		for j := range taps {
			t := float64(j-halfTaps+1) - frac
			taps[j] = sinc(t) * kaiser(t/halfTaps)
			sum += taps[j]
		}
		for j := range taps {
			k[p][j] = float32(taps[j] / sum)
		}
	}
	return &k
}

func sinc(t float64) float64 {
	if t == 0 {
		return 1
	}
	return math.Sin(math.Pi*t) / (math.Pi * t)
}

func kaiser(x float64) float64 {
	if x < -1 || x > 1 {
		return 0
	}
	return besselI0(kaiserBeta*math.Sqrt(1-x*x)) / besselI0(kaiserBeta)
}

// besselI0 is the modified Bessel function of order 0 by its power series.
//
//	I0(x) = sum over k of ((x/2)^k / k!)^2
func besselI0(x float64) float64 {
	sum, term := 1.0, 1.0
	for k := 1.0; term > 1e-17*sum; k++ {
		term *= x * x / (4 * k * k)
		sum += term
	}
	return sum
}

// norm is the largest sum of magnitudes of any phase: no interpolated value is
// larger than norm times the largest sample it is made of.
func (k *kernel) norm() float32 {
	most := 0.0
	for p := range k {
		sum := 0.0
		for _, h := range k[p] {
			sum += math.Abs(float64(h))
		}
		most = max(most, sum)
	}
	return float32(most)
}

// at is the value p eighths after x[halfTaps-1]; x holds 2*halfTaps samples.
func (k *kernel) at(p int, x []float32) float32 {
	h := &k[p]
	x = x[:len(h)]
	var a, b, c, d float32
	for j := 0; j < len(h); j += 4 {
		a += h[j] * x[j]
		b += h[j+1] * x[j+1]
		c += h[j+2] * x[j+2]
		d += h[j+3] * x[j+3]
	}
	return (a + c) + (b + d)
}
