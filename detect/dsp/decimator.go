package dsp

import "math"

// Decimator lowers the sample rate of one channel by a whole factor behind a
// symmetric FIR filter, and looks ahead, so that its output is not late.
type Decimator struct {
	taps   []float32
	factor int
	buf    []float32
	fill   int
	made   []float32 // output of one full buffer
}

// Gathered is the number of samples that a Decimator works on at a time.
const Gathered = 1024

// NewDecimator makes one with an odd number of taps that read the same in both
// directions.
func NewDecimator(taps []float32, factor int) *Decimator {
	// The filter's past is silence up to the middle tap, so that the output
	// is not late.
	return &Decimator{
		taps: taps, factor: factor, fill: len(taps) / 2,
		buf: make([]float32, len(taps)+Gathered), made: make([]float32, Gathered/factor+1),
	}
}

// Write takes x in and calls out with each piece of output.
func (d *Decimator) Write(x []float32, out func([]float32)) {
	for len(x) > 0 {
		n := copy(d.buf[d.fill:], x)
		x = x[n:]
		d.fill += n
		if d.fill == len(d.buf) {
			d.work(out)
		}
	}
}

// work hands on the output of the full buffer and keeps the rest of it.
func (d *Decimator) work(out func([]float32)) {
	n, from := 0, 0
	for ; from+len(d.taps) <= d.fill; from += d.factor {
		d.made[n] = symmetric(d.taps, d.buf[from:])
		n++
	}
	d.fill = copy(d.buf, d.buf[from:d.fill])
	out(d.made[:n])
}

// symmetric is the scalar product of h and the beginning of x, for h of odd
// length that reads the same in both directions.
func symmetric(h, x []float32) float32 {
	n := len(h)
	x = x[:n]
	mid := n / 2
	sum := h[mid] * x[mid]
	var odd float32
	j := 0
	for ; j+1 < mid; j += 2 {
		sum += h[j] * (x[j] + x[n-1-j])
		odd += h[j+1] * (x[j+1] + x[n-2-j])
	}
	if j < mid {
		odd += h[j] * (x[j] + x[n-1-j])
	}
	return sum + odd
}

// Boxcar is the impulse response of a running mean of factor samples taken order times.
func Boxcar(factor, order int) []float32 {
	h := []float64{1}
	for range order {
		next := make([]float64, len(h)+factor-1)
		for i, v := range h {
			for j := range factor {
				next[i+j] += v / float64(factor)
			}
		}
		h = next
	}
	return single(h)
}

func single(h []float64) []float32 {
	s := make([]float32, len(h))
	for i, v := range h {
		s[i] = float32(v)
	}
	return s
}

// Response is the power gain of symmetric taps at a frequency in cycles a
// sample.
//
//	|H(f)|^2 = (sum over n of h[n] cos(2 pi f (n - mid)))^2
func Response(h []float32, f float64) float64 {
	sum := 0.0
	for i, v := range h {
		sum += float64(v) * math.Cos(2*math.Pi*f*float64(i-len(h)/2))
	}
	return sum * sum
}
