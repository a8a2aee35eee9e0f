package transfer

import "math"

// halfBandTaps is the number of distinct coefficients beside the centre of the
// half-band filter: 15 taps, 50 dB against what folds onto the lower half of the
// band that is kept.
const halfBandTaps = 4

// halver takes every second sample of a low-passed signal.
//
//	y[n] = x[2n]/2 + sum over odd k of h[k] (x[2n-k] + x[2n+k])
//	h[k] = sin(pi k/2) / (pi k) * (0.54 + 0.46 cos(pi k / 8))    (Hamming)
type halver struct {
	h   [halfBandTaps]float32
	buf []float32 // what is still needed of the past, then the new samples
}

func newHalver(block int) *halver {
	const past = 4*halfBandTaps - 2
	v := &halver{buf: make([]float32, past/2, block+past+2)}
	sum := 0.0
	for i := range v.h {
		k := float64(2*i + 1)
		h := math.Sin(math.Pi*k/2) / (math.Pi * k) * (0.54 + 0.46*math.Cos(math.Pi*k/(2*halfBandTaps)))
		v.h[i] = float32(h)
		sum += 2 * h
	}
	for i := range v.h { // unit gain at 0 Hz
		v.h[i] *= float32(0.5 / sum)
	}
	return v
}

// halve writes what in yields to dst and returns that; in is at most as long as
// newHalver was told.
func (v *halver) halve(dst, in []float32) []float32 {
	v.buf = append(v.buf, in...)
	b, h, dst := v.buf, v.h, dst[:0]
	i := 0
	for ; i+14 < len(b); i += 2 {
		x := b[i : i+15 : i+15]
		dst = append(dst, x[7]/2+h[0]*(x[6]+x[8])+h[1]*(x[4]+x[10])+h[2]*(x[2]+x[12])+h[3]*(x[0]+x[14]))
	}
	v.buf = v.buf[:copy(v.buf, b[i:])]
	return dst
}
