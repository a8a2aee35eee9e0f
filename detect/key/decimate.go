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
// Even and odd samples are kept apart, so that each tap runs along two rows.
type halver struct {
	taps      []float64 // h[1], h[3], h[5], ...
	even, odd []float64 // samples not yet used up, oldest first
	toOdd     bool      // where the next sample belongs
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
	// As if silence had gone before: the first output is at the first sample,
	// which has n odd ones in front of it.
	h.even = make([]float64, 0, rowRoom)
	h.odd = make([]float64, n, rowRoom)
	return h
}

// rowRoom is how many samples a row has room for, more than a chunk halved.
const rowRoom = 4096

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

// write takes samples in and puts the decimated ones into dst, from its
// beginning. What it returns may be shorter or longer by one than half of src.
func (h *halver) write(dst, src []float64) []float64 {
	h.deal(src)
	n := len(h.taps)
	// Output m lies at even[m] and reaches from odd[m] to odd[m+2n-1].
	m := min(len(h.even), len(h.odd)-2*n+1)
	if m <= 0 {
		return dst[:0]
	}
	dst = dst[:m]
	for i, v := range h.even[:m] {
		dst[i] = v / 2
	}
	for i, c := range h.taps {
		before, after := h.odd[n-1-i:][:m], h.odd[n+i:][:m]
		for j := range dst {
			dst[j] += c * (before[j] + after[j])
		}
	}
	h.even = h.even[:copy(h.even, h.even[m:])]
	h.odd = h.odd[:copy(h.odd, h.odd[m:])]
	return dst
}

// deal gives the samples of src to the two rows in turn.
func (h *halver) deal(src []float64) {
	if h.toOdd && len(src) > 0 {
		h.odd = append(h.odd, src[0])
		src = src[1:]
		h.toOdd = false
	}
	for len(src) >= 2 {
		h.even = append(h.even, src[0])
		h.odd = append(h.odd, src[1])
		src = src[2:]
	}
	if len(src) == 1 {
		h.even = append(h.even, src[0])
		h.toOdd = true
	}
}

// silence brings h to where o is, with silence in place of what o was written.
func (h *halver) silence(o *halver) {
	h.even, h.odd, h.toOdd = h.even[:len(o.even)], h.odd[:len(o.odd)], o.toOdd
	clear(h.even)
	clear(h.odd)
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
		d.bufs[i] = make([]float64, chunk)
	}
	return d
}

// silence brings d to where o is, with silence in place of what o was written.
func (d *decimator) silence(o *decimator) {
	for i, s := range d.stages {
		s.silence(o.stages[i])
	}
}

// write decimates src, of chunk samples at most. What it returns is valid until
// the next call.
func (d *decimator) write(src []float64) []float64 {
	for i, s := range d.stages {
		src = s.write(d.bufs[i%2], src)
	}
	return src
}
