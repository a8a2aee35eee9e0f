package key

import "math"

const (
	// minWorkingRate is the lowest rate in hertz that decimation may reach:
	// with content up to topHz = 3.5 kHz, what folds onto it lies above 7.5 kHz
	// and is cheap to filter out.
	minWorkingRate = 11000
	// stopbandDB is the attenuation of what would fold back. Percussion at 10
	// kHz is then 70 dB down, below the peaks that are looked at.
	stopbandDB = 70
)

// halver takes every second sample after a half-band low-pass filter.
//
//	y[m] = x[2m]/2 + sum over odd k of h[k] (x[2m-k] + x[2m+k])
//	h[k] = sin(pi k/2)/(pi k) w[k], w the Kaiser window
//
// Every other coefficient of a half-band filter is zero, and the others come
// in pairs, so that a filter of 4n-1 taps takes n multiplications a sample.
type halver struct {
	taps []float64 // h[1], h[3], h[5], ...
	buf  []float64 // samples not yet used up, oldest first
}

// newHalver makes a halver for input at the given rate in hertz that keeps
// what lies below pass hertz clean. The length follows from Kaiser's formula
//
//	taps = (A - 7.95) / (14.36 d)
//
// with the attenuation A in dB and the transition d as a share of the rate
// (J. F. Kaiser, "Nonrecursive digital filter design using the I0-sinh window
// function", ISCAS 1974).
func newHalver(rate, pass float64) *halver {
	transition := (rate/2 - 2*pass) / rate
	length := (stopbandDB - 7.95) / (14.36 * transition)
	n := int(math.Ceil((length + 1) / 4))
	h := &halver{taps: make([]float64, n)}
	beta := 0.1102 * (stopbandDB - 8.7)
	sum := 0.0
	for i := range h.taps {
		k := float64(2*i + 1)
		x := k / float64(2*n)
		h.taps[i] = math.Sin(math.Pi*k/2) / (math.Pi * k) * bessel0(beta*math.Sqrt(1-x*x)) / bessel0(beta)
		sum += h.taps[i]
	}
	for i := range h.taps {
		h.taps[i] *= 0.25 / sum // the gain at 0 Hz is 1/2 + 2 sum = 1
	}
	h.buf = make([]float64, 2*n, 8192)
	return h
}

// bessel0 is the modified Bessel function of the first kind and order zero, by
// its power series.
func bessel0(x float64) float64 {
	sum, term := 1.0, 1.0
	for k := 1.0; term > 1e-12*sum; k++ {
		term *= x * x / (4 * k * k)
		sum += term
	}
	return sum
}

// write takes samples in and appends the decimated ones to dst.
func (h *halver) write(dst, src []float64) []float64 {
	h.buf = append(h.buf, src...)
	n := len(h.taps)
	reach := 2*n - 1 // samples on either side of the middle one
	at := reach
	for ; at+reach < len(h.buf); at += 2 {
		before := h.buf[at-reach : at]
		after := h.buf[at+1 : at+1+reach]
		y := h.buf[at] / 2
		for i, c := range h.taps {
			y += c * (before[reach-1-2*i] + after[2*i])
		}
		dst = append(dst, y)
	}
	keep := copy(h.buf, h.buf[at-reach:])
	h.buf = h.buf[:keep]
	return dst
}

// decimator halves the rate until it lies between minWorkingRate and twice
// that; lower rates stay as they are.
type decimator struct {
	stages []*halver
	bufs   [2][]float64
	rate   float64 // of the output, hertz
}

func newDecimator(rate float64) *decimator {
	d := &decimator{rate: rate}
	for d.rate/2 >= minWorkingRate {
		d.stages = append(d.stages, newHalver(d.rate, topHz))
		d.rate /= 2
	}
	for i := range d.bufs {
		d.bufs[i] = make([]float64, 0, 8192)
	}
	return d
}

// write decimates src. What it returns is valid until the next call.
func (d *decimator) write(src []float64) []float64 {
	for i, s := range d.stages {
		out := s.write(d.bufs[i%2][:0], src)
		d.bufs[i%2] = out
		src = out
	}
	return src
}
