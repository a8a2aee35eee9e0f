package spectrum

import "math"

// decimator lowers the sample rate of one channel by a whole factor behind a
// symmetric FIR filter.
type decimator struct {
	taps   []float32
	factor int
	buf    []float32
	fill   int
	made   []float32 // output of one full buffer
}

// gathered is the number of samples that a decimator works on at a time.
const gathered = 1024

func newDecimator(taps []float32, factor int) *decimator {
	// The filter's past is silence up to the middle tap, so that the output
	// is not late.
	return &decimator{
		taps: taps, factor: factor, fill: len(taps) / 2,
		buf: make([]float32, len(taps)+gathered), made: make([]float32, gathered/factor+1),
	}
}

// write takes x in and calls out with each piece of output.
func (d *decimator) write(x []float32, out func([]float32)) {
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
func (d *decimator) work(out func([]float32)) {
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

// boxcarOrder is how often the running mean of the first stage is taken: what
// folds onto the bottom 150 Hz is then 120 dB down, onto 560 Hz 75 dB.
const boxcarOrder = 4

// boxcar is the impulse response of a running mean of factor samples taken
// boxcarOrder times.
func boxcar(factor int) []float32 {
	h := []float64{1}
	for range boxcarOrder {
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

// Second stage: halving. The filter passes 562 Hz and stops what would fold
// onto it by 80 dB at the lowest rate it runs at.
const (
	halfBandTaps = 31
	halfBandBeta = 8.0 // Kaiser, 80 dB
)

// halfBand is a sinc cut off at a quarter of the rate under a Kaiser window.
func halfBand() []float32 {
	h := make([]float64, halfBandTaps)
	sum := 0.0
	for i := range h {
		t := float64(i - halfBandTaps/2)
		u := t / (halfBandTaps/2 + 1)
		h[i] = 0.5
		if t != 0 {
			h[i] = math.Sin(math.Pi*t/2) / (math.Pi * t)
		}
		h[i] *= besselI0(halfBandBeta * math.Sqrt(1-u*u))
		sum += h[i]
	}
	for i := range h {
		h[i] /= sum
	}
	return single(h)
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

func single(h []float64) []float32 {
	s := make([]float32, len(h))
	for i, v := range h {
		s[i] = float32(v)
	}
	return s
}

// response is the power gain of symmetric taps at a frequency in cycles a
// sample.
//
//	|H(f)|^2 = (sum over n of h[n] cos(2 pi f (n - mid)))^2
func response(h []float32, f float64) float64 {
	sum := 0.0
	for i, v := range h {
		sum += float64(v) * math.Cos(2*math.Pi*f*float64(i-len(h)/2))
	}
	return sum * sum
}
