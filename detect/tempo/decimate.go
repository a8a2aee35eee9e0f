package tempo

import "math"

// halfBandTaps is the number of distinct coefficients beside the centre of the
// half-band filter (15 taps in all): more than 40 dB against aliases of the top octave's
// upper half, enough for an onset curve, at four multiplications a sample.
const halfBandTaps = 4

// halfBandDelay is the filter's delay in samples of its input.
const halfBandDelay = 2*halfBandTaps - 1

// halver takes every second sample of a low-passed signal.
//
//	y[n] = x[2n]/2 + sum over odd k of h[k] (x[2n-k] + x[2n+k])
//	h[k] = sin(pi k/2) / (pi k) * (0.54 + 0.46 cos(pi k / 8))    (Hamming)
type halver struct {
	h   [halfBandTaps]float32
	buf []float32 // what is still needed of the past, then the new samples
}

func newHalver(block int) *halver {
	v := &halver{buf: make([]float32, 0, block+2*halfBandDelay+2)}
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
	v.buf = v.buf[:halfBandDelay] // silence before the track
	return v
}

// halve appends to dst what in, of at most the block length given to
// newHalver, yields.
func (v *halver) halve(dst, in []float32) []float32 {
	v.buf = append(v.buf, in...)
	b, h := v.buf, v.h
	i := 0
	for ; i+2*halfBandDelay < len(b); i += 2 {
		x := b[i : i+2*halfBandDelay+1 : i+2*halfBandDelay+1]
		dst = append(dst, x[7]/2+h[0]*(x[6]+x[8])+h[1]*(x[4]+x[10])+h[2]*(x[2]+x[12])+h[3]*(x[0]+x[14]))
	}
	v.buf = v.buf[:copy(v.buf, b[i:])]
	return dst
}
