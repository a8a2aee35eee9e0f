package truepeak

import (
	"sync"

	"dubgauge/detect/dsp"
)

// The interpolation filter: a sinc cut off at half the sample rate under a
// Kaiser window, one phase for each eighth of a sample.
const (
	// oversampling brings every rate from 24 kHz up to the 192 kHz that
	// BS.1770-5 annex 2 asks for; below that it is still 8 times.
	oversampling = 8
	// halfTaps is the number of samples used on each side. The annex's own
	// filter has 6; this one is flat to 0.98 of half the sample rate, 21.7 kHz
	// at 44.1 kHz, where clipped masters still have something.
	halfTaps = 128
	// kaiserBeta sets side lobes of about -50 dB.
	kaiserBeta = 4.5
)

// kernel holds the taps of a phase: kernel[p][k] weighs sample i-halfTaps+1+k
// to give the value p eighths after sample i.
type kernel [oversampling][2 * halfTaps]float32

var newKernel = sync.OnceValue(func() *kernel {
	var k kernel
	for p := range k {
		for j, v := range taps(float64(p) / oversampling) {
			k[p][j] = float32(v)
		}
	}
	return &k
})

// taps makes one phase, frac samples after sample i.
//
//	h(t) = sinc(t) I0(beta sqrt(1-(t/T)^2)) / I0(beta), T = halfTaps
//
// It is scaled to a sum of 1, so that a constant stays itself.
func taps(frac float64) []float64 {
	h := make([]float64, 2*halfTaps)
	sum := 0.0
	for j := range h {
		t := float64(j-halfTaps+1) - frac
		h[j] = dsp.Sinc(t) * dsp.Kaiser(t/halfTaps, kaiserBeta)
		sum += h[j]
	}
	for j := range h {
		h[j] /= sum
	}
	return h
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

// points are the values at eighths of a sample from one before x[i] to one after x[i+1].
func (k *kernel) points(x []float32, i int) (y [oversampling + 3]float32) {
	y[0] = k.at(oversampling-1, x[i-halfTaps:])
	for p := range oversampling {
		y[p+1] = k.at(p, x[i-halfTaps+1:])
	}
	y[oversampling+1] = x[i+1]
	y[oversampling+2] = k.at(1, x[i-halfTaps+2:])
	return y
}
